package sim

import (
	"errors"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"
)

// replaced returns a bundled file with one piece replaced, and the line of it.
func replaced(t *testing.T, file, old, new string) ([]byte, int) {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	at := strings.Index(string(data), old)
	if at < 0 {
		t.Fatalf("%s has no %q", file, old)
	}
	return []byte(strings.Replace(string(data), old, new, 1)), 1 + strings.Count(string(data[:at]), "\n")
}

func TestBadBirds(t *testing.T) {
	const file = "../assets/birds/lark-1.toml"
	for name, c := range map[string]struct {
		old, new, want string
		elsewhere      bool
	}{
		"unknown key":       {"gain_db = 114", "gain_bd = 116", "unknown key", false},
		"width":             {"downlink_high_hz = 145_920_000", "downlink_high_hz = 145_930_000", "must match", false},
		"sum":               {"sum_hz = 581_050_000", "sum_hz = 581_060_000", "outside this sum", false},
		"difference":        {"sum_hz = 581_050_000", "difference_hz = 1", "use sum_hz", false},
		"narrow":            {"435_170_000", "435_132_000", "the passband is 2000 Hz wide; a voice takes 2700", false},
		"counted from one":  {`uplink_sideband = "LSB"`, `uplink_sideband = "AM"`, "transponder 1: uplink_sideband", false},
		"turned writing":    {`about = "A small`, `about = "\u202eA small`, "control character (U+202E)", false},
		"C1":                {`about = "A small`, `about = "\u009bA small`, "control character (U+009B)", false},
		"edges":             {"uplink_high_hz = 435_170_000", "uplink_high_hz = 435_100_000", "above the lower", false},
		"sideband":          {`uplink_sideband = "LSB"`, `uplink_sideband = "AM"`, "none of LSB", false},
		"syntax":            {`name = "LARK-1"`, `name = "LARK-1`, "", false},
		"type":              {"gain_db = 114", `gain_db = "much"`, "", false},
		"no name":           {`name = "LARK-1"`, `name = ""`, "missing", false},
		"spin":              {"period_s = 24", "period_s = 0.1", "outside", false},
		"beacon":            {`kind = "cw"`, `kind = "fm"`, "none of carrier", false},
		"infinite":          {"noise_k = 3000", "noise_k = inf", "outside", false},
		"no number":         {"noise_k = 3000", "noise_k = nan", "outside", false},
		"beacon's text":     {`text = "LARK LARK LARK"`, ``, "missing", true},
		"control character": {`about = "A small`, `about = "\u0007A small`, "control character", false},
	} {
		t.Run(name, func(t *testing.T) {
			data, line := replaced(t, file, c.old, c.new)
			_, err := ParseBird(data, "my-bird.toml")
			var fault *FileError
			if !errors.As(err, &fault) {
				t.Fatalf("error %v", err)
			}
			if fault.Line != line && !c.elsewhere || fault.Line == 0 {
				t.Errorf("line %d, want %d: %v", fault.Line, line, err)
			}
			if !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "my-bird.toml:") || strings.Contains(err.Error(), "\n") {
				t.Errorf("message %q, want %q in it", err, c.want)
			}
		})
	}
	if _, err := ParseBird(nil, "empty.toml"); err == nil {
		t.Error("an empty file is no bird")
	}
}

func TestBadDrills(t *testing.T) {
	const file = "../assets/drills/busy-passband.toml"
	for name, c := range map[string]struct{ old, new, want string }{
		"unknown key":   {"step_hz = 50", "stepp_hz = 50", "unknown key"},
		"unknown table": {"[traffic]", "[trafic]", "unknown key"},
		"step":          {"step_hz = 50", "step_hz = 30", "none of 10"},
		"rule":          {`voice = "call"`, "rule = \"sideways\"\nvoice = \"call\"", "none of uplink"},
		"span":          {"top_deg = [50, 89]", "top_deg = [89, 50]", "smaller stands first"},
		"stations":      {"stations = 6", "stations = 13", "outside 0 to 12"},
		"plan":          {`"cq", "contact"`, `"cq", "gossip"`, "none of cq"},
		"hand":          {`hands = ["good"`, `hands = ["gud"`, "no hand"},
		"measure":       {`measure = "contacts"`, `measure = "beauty"`, "none of hold_index"},
		"name":          {`name = "busy-passband"`, `name = "Busy Passband"`, "lower-case"},
		"voice":         {`voice = "call"`, `voice = "yodel"`, "none of tone"},
		"part":          {`part = "top"`, `part = "middle"`, "none of whole"},
		"also":          {`measure = "overlap_s"`, `measure = "manners"`, "goal.also 1: measure"},
		"also, key":     {"measure = \"overlap_s\"", "mesure = \"overlap_s\"", "unknown key"},
	} {
		t.Run(name, func(t *testing.T) {
			data, line := replaced(t, file, c.old, c.new)
			_, err := ParseDrill(data, "my-drill.toml")
			var fault *FileError
			if !errors.As(err, &fault) {
				t.Fatalf("error %v", err)
			}
			if fault.Line != line {
				t.Errorf("line %d, want %d: %v", fault.Line, line, err)
			}
			if !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("message %q, want %q in it", err, c.want)
			}
		})
	}
}

// The mark that some editors put before UTF-8 changes nothing, the places of
// mistakes included; UTF-16 is named.
func TestMarkBeforeTheText(t *testing.T) {
	data, err := os.ReadFile("../assets/drills/first-hold.toml")
	if err != nil {
		t.Fatal(err)
	}
	marked := append([]byte("\xef\xbb\xbf"), data...)
	want, err := ParseDrill(data, "f")
	if err != nil {
		t.Fatal(err)
	}
	if got, err := ParseDrill(marked, "f"); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v, %+v", err, got)
	}
	_, wantErr := ParseDrill([]byte("nam = 1\n"), "f")
	if _, err := ParseDrill([]byte("\xef\xbb\xbfnam = 1\n"), "f"); err == nil || err.Error() != wantErr.Error() {
		t.Errorf("said %v, without the mark %v", err, wantErr)
	}
	if _, err := ParseDrill([]byte("\xff\xfen\x00"), "f"); err == nil || !strings.Contains(err.Error(), "UTF-16") {
		t.Errorf("said %v", err)
	}
	bird, err := os.ReadFile("../assets/birds/lark-1.toml")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := ParseBird(append([]byte("\xef\xbb\xbf"), bird...), "f"); err != nil {
		t.Error(err)
	}
}

// A file of nothing but tables is refused at once: read, it would take minutes.
func TestManyTablesAreRefused(t *testing.T) {
	if _, err := ParseDrill([]byte(strings.Repeat("[[a]]\n", 150000)), "f"); err == nil || !strings.Contains(err.Error(), "more than 2000 lists and tables") {
		t.Errorf("said %v", err)
	}
}

// A mark that its measure cannot reach is refused: the hold index goes up to
// 1000, a share up to 1.
func TestPassMarksOutOfReach(t *testing.T) {
	for measure, c := range map[string]struct{ good, bad, want string }{
		"hold_index":        {"1000", "1001", "goal.pass: 1001 cannot be reached: hold_index goes up to 1000"},
		"share_within_50hz": {"1", "75", "goal.pass: 75 cannot be reached: share_within_50hz goes up to 1"},
		"antenna_share":     {"0.5", "1.01", "goes up to 1"},
		"rms_hz":            {"2000", "1e7", "outside 0 to 1e+06"},
	} {
		for _, pass := range []string{c.good, c.bad} {
			data, line := replaced(t, "../assets/drills/first-hold.toml", "measure = \"hold_index\"\npass = 600", "measure = \""+measure+"\"\npass = "+pass)
			_, err := ParseDrill(data, "f")
			if pass == c.good {
				if err != nil {
					t.Error(measure, err)
				}
				continue
			}
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), fmt.Sprintf("f:%d:1:", line+1)) {
				t.Errorf("%s: said %v, want %q on line %d", measure, err, c.want, line+1)
			}
		}
	}
}

// A drill that asks for what is not there says so.
func TestPrepareSaysWhatIsMissing(t *testing.T) {
	d := demoDrill(t, "first-hold")
	bird, el := demoBird(t, d.Bird), demoElements(t, d.Bird)
	for name, c := range map[string]struct {
		change func(*Drill)
		want   string
	}{
		"height":      {func(d *Drill) { d.Pass.HeightKm = 500 }, "500 km high"},
		"transponder": {func(d *Drill) { d.Transponder = 3 }, "transponder 3"},
		"no such top": {func(d *Drill) { d.Pass.TopDeg = [2]float64{89.99, 90} }, "does not pass"},
	} {
		t.Run(name, func(t *testing.T) {
			d := d
			c.change(&d)
			if _, err := Prepare(d, bird, el, quernHill, demoFrom, 1); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v, want %q in it", err, c.want)
			}
		})
	}
}

func TestBadSheets(t *testing.T) {
	s := prepared(t, "come-back", 1)
	s.Length = 5 * TicksPerSecond
	_, sheet, _ := fly(t, s, "perfect")
	lines := strings.SplitAfter(string(sheet), "\n")
	for name, c := range map[string]struct {
		text, want string
	}{
		"no sheet":       {"hello\n", "no run sheet"},
		"empty":          {"", "no whole first line"},
		"newer format":   {strings.Replace(lines[0], `"driftdrill_sheet":2`, `"driftdrill_sheet":9`, 1), "format 9"},
		"bad step":       {strings.Replace(lines[0], `"step_hz":20`, `"step_hz":7`, 1), "7"},
		"no command":     {lines[0] + `{"tick":3,"do":"fly"}` + "\n", `no command "fly"`},
		"backwards":      {lines[0] + `{"tick":3,"do":"knob"}` + "\n" + `{"tick":2,"do":"knob"}` + "\n", "stands after tick"},
		"beyond":         {lines[0] + `{"tick":99999,"do":"knob"}` + "\n", "outside the run"},
		"second missing": {lines[0] + `{"second":1,"hash":"0000000000000000"}` + "\n", "second 1"},
		"bad hash":       {lines[0] + `{"second":0,"hash":"xyz"}` + "\n", "hexadecimal"},
		"after the end":  {lines[0] + `{"end":3}` + "\n" + `{"tick":3,"do":"knob"}` + "\n", "after the last line"},
		"nonsense":       {lines[0] + "]\n", "no line of a run sheet"},
		"long header":    {"{\"program\":\"" + strings.Repeat("x", 1<<19) + "\"}\n", "first line has more than"},
		"a flood":        {lines[0] + strings.Repeat(`{"tick":3,"do":"knob"}`+"\n", 4097), "more than 4096 commands for tick 3"},
		"neither":        {lines[0] + `{"x":1}` + "\n", "neither"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := ReadSheet(strings.NewReader(c.text), "run.sheet")
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "run.sheet:") || strings.Contains(err.Error(), "\n") {
				t.Errorf("error %v, want %q in it", err, c.want)
			}
		})
	}
}

// However many commands are posted, the run ends when it is told to and its
// sheet can be read.
func TestFloodOfCommands(t *testing.T) {
	s := prepared(t, "come-back", 1)
	s.Length = 300 * TicksPerSecond
	r, rec, sheet := recorded(t, s)
	for range maxCommands/maxPending + 2 {
		for range maxPending + 10 {
			r.Post(CommandSound, 1)
		}
		r.Step(nil)
	}
	if r.Post(CommandStop, 0); len(r.pending) != 1 {
		t.Fatal("the end of the run was not taken")
	}
	r.Step(nil)
	if !r.Done() {
		t.Error("the run goes on")
	}
	if err := rec.Flush(); err != nil {
		t.Fatal(err)
	}
	sh, err := ReadSheet(sheet, "flood")
	if err != nil {
		t.Fatal(err)
	}
	if n := len(sh.Commands); n < maxCommands-maxPending || n > maxCommands {
		t.Errorf("%d commands", n)
	}
}

func FuzzParseBird(f *testing.F) {
	seedFiles(f, "../assets/birds")
	f.Fuzz(func(t *testing.T, data []byte) {
		b, err := ParseBird(data, "f")
		if err == nil && len(b.Transponders) == 0 {
			t.Error("a bird without a transponder")
		}
		if err != nil && strings.Contains(err.Error(), "\n") {
			t.Errorf("more than one line: %q", err)
		}
	})
}

func FuzzParseDrill(f *testing.F) {
	seedFiles(f, "../assets/drills")
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := ParseDrill(data, "f")
		if err == nil && !validStep(d.StepHz) {
			t.Errorf("a step of %d Hz", d.StepHz)
		}
		if err != nil && strings.Contains(err.Error(), "\n") {
			t.Errorf("more than one line: %q", err)
		}
	})
}

func FuzzReadSheet(f *testing.F) {
	s := prepared(f, "come-back", 1)
	s.Length = 3 * TicksPerSecond
	_, sheet, _ := fly(f, s, "regular")
	lines := strings.SplitAfterN(string(sheet), "\n", 2)
	f.Add(sheet)
	f.Add([]byte(lines[0]))
	f.Add([]byte(lines[1]))
	ready := prepared(f, "ready", 1)
	ready.Length, ready.Others, ready.Partner = 3*TicksPerSecond, nil, -1
	_, sheet, _ = fly(f, ready, "perfect")
	f.Add(sheet)
	f.Fuzz(func(t *testing.T, data []byte) {
		sh, err := ReadSheet(strings.NewReader(string(data)), "f")
		if err != nil {
			return
		}
		if sh.Setup.Length > 5*TicksPerSecond || len(sh.Setup.Others) > 2 || len(data)%8 != 0 {
			return // flying all of them is only too slow here
		}
		if _, err := Replay(sh, 100, func(*State) {}); err != nil && strings.Contains(err.Error(), "\n") {
			t.Errorf("more than one line: %q", err)
		}
	})
}

func seedFiles(f *testing.F, folder string) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		f.Fatal(err)
	}
	for _, e := range entries {
		data, err := os.ReadFile(folder + "/" + e.Name())
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
}
