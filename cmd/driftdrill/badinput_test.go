package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// writeInput writes an input file for one test.
func writeInput(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// bundledFile returns a file that the program carries with it.
func bundledFile(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "assets", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// receives says in a drill where the receive dial begins, after some lines of its own.
func receives(drill, lines string) string {
	return lines + strings.Replace(drill, "[start]", "[start]\nreceive_hz = 435600000", 1)
}

// Bad input is answered with one line that says what, where and what to do,
// with exit status 2, and leaves nothing behind.
func TestBadInput(t *testing.T) {
	good := bundledFile(t, "elements/demo.tle")
	drill := bundledFile(t, "drills/first-hold.toml")
	bird := bundledFile(t, "birds/fulmar-3.toml")
	broken := writeInput(t, "broken.tle", strings.Replace(good, "1 999", "1 99x", -1))
	cutShort := writeInput(t, "cut.tle", good[:40])
	empty := writeInput(t, "empty.tle", "")
	unknownKey := writeInput(t, "unknown.toml", drill+"\n[sauce]\nhot = true\n")
	misspelt := writeInput(t, "misspelt.toml", strings.Replace(drill, "step_hz", "stepp_hz", 1))
	notTOML := writeInput(t, "not.toml", "name = \n")
	badBird := writeInput(t, "bird.toml", strings.Replace(bird, "inverting = true", "inverting = maybe", 1))
	noSheet := writeInput(t, "no.jsonl", "hello\n")
	night := writeInput(t, "night.toml", "name = \"A\"\ndrill = \"soup\"\n")
	asks := writeInput(t, "asks.toml", "name = \"A\"\n\ndrill = \"hear-the-shift\"\n")
	nightKey := writeInput(t, "key.toml", "name = \"A\"\ndrill = \"1\"\nheats = 3\n")
	cases := []struct {
		name string
		line string   // command line
		file string   // stands where the line has %
		want []string // parts of the one line
	}{
		{"club without a night", "club", "", []string{"--night"}},
		{"no night file", "club --night nowhere/gone.toml", "", []string{"nowhere/gone.toml"}},
		{"night with no such drill", "club --night %", night, []string{"night.toml:2:1", `no drill "soup"`}},
		{"night with a drill that asks", "club --night %", asks, []string{"asks.toml:3:1", "hear-the-shift", "flown by hand"}},
		{"night with a key that is none", "club --night %", nightKey, []string{"key.toml:3:1", "heats"}},
		{"sheets as text from a pipe", "debrief -", "", []string{"--out json"}},
		{"join without a code", "fly --join http://192.0.2.7:8437/ --call Q1ABC", "", []string{"code is missing"}},
		{"join with a drill", "fly --join http://192.0.2.7:8437/?code=x --call Q1ABC --drill 2", "", []string{"leave out --drill"}},
		{"a call without a night", "fly --call Q1ABC", "", []string{"--join"}},
		{"a transponder that the bird has not", "correction note lark-1 640 --transponder 9", "", []string{"--transponder 9", "LARK-1 has 1"}},
		{"two stations at once", "correction station hill radio", "", []string{"one name", "quotes"}},
		{"a station too long to read", "correction station " + strings.Repeat("x", 99), "", []string{"too long for a station", "40 letters"}},
		{"no such drill", "rehearse --drill soup", "", []string{`no drill "soup"`, "first-hold"}},
		{"no such drill file", "rehearse --drill nowhere/soup.toml", "", []string{"nowhere/soup.toml"}},
		{"drill with an unknown table", "rehearse --drill %", unknownKey, []string{"unknown.toml", "sauce"}},
		{"drill with a misspelt key", "rehearse --drill %", misspelt, []string{"misspelt.toml", ":9", "stepp_hz"}},
		{"drill that is no TOML", "fly --drill %", notTOML, []string{"not.toml", ":1"}},
		{"receive dial named where it is the one to turn", "rehearse --drill %", writeInput(t, "turns.toml", receives(drill, "rule = \"downlink\"\n")), []string{"turns.toml", "start.receive_hz", "leave it out"}},
		{"receive dial named where the bands ask to turn it", "rehearse --drill %", writeInput(t, "bands.toml", receives(bundledFile(t, "drills/other-way-round.toml"), "")),
			[]string{"other-way-round", "start.receive_hz", "leave it out"}},
		{"bird with a wrong value", "rehearse --bird %", badBird, []string{"bird.toml"}},
		{"no such bird", "rehearse --bird dodo-9", "", []string{`no bird "dodo-9"`, "fulmar-3", "birds print fulmar-3 >dodo-9.toml", "birds add dodo-9.toml"}},
		{"a bird with a slip in its name", "rehearse --bird lurk-1", "", []string{"did you mean lark-1?"}},
		{"own elements of another height", "rehearse --drill cold-find --elements %", writeInput(t, "one.tle", larkSet), []string{"800 km", "505 km", "--pass 1"}},
		{"no element file", "rehearse --elements nowhere/gone.tle", "", []string{"no file nowhere/gone.tle"}},
		{"element file that is broken", "rehearse --elements %", broken, []string{"broken.tle", ":2"}},
		{"element file that was cut", "rehearse --elements %", cutShort, []string{"cut.tle"}},
		{"empty element file", "sky --site 50,8 --elements %", empty, []string{"empty.tle"}},
		{"broken elements for sky", "sky --site 50,8 --elements %", broken, []string{"broken.tle", ":2"}},
		{"no elements for passes", "passes --site 50,8 --elements nowhere/gone.tle", "", []string{"no file nowhere/gone.tle"}},
		{"site that is nowhere", "rehearse --site 95,8", "", []string{"--site", "95"}},
		{"site that is no place", "rehearse --site over-there", "", []string{"--site", "over-there"}},
		{"longitude that is nowhere", "passes --elements % --site 50,999", writeInput(t, "good.tle", good), []string{"--site", "999"}},
		{"time that is none", "rehearse --from tomorrow", "", []string{"--from tomorrow", "2026-"}},
		{"pass that does not exist", "rehearse --pass 4000", "", []string{"--pass 4000", "FULMAR-3"}},
		{"pass at a time when nothing is up", "rehearse --pass 2026-11-21T00:30:00Z", "", []string{"--pass 2026-11-21T00:30:00Z", "not up", "next pass begins at 2026-11-21T"}},
		{"pass that is no number", "rehearse --pass best", "", []string{"--pass best", "number"}},
		{"pass that no bird makes", "rehearse --site 50,8 --drill %", writeInput(t, "never.toml", strings.Replace(drill, "[30, 55]", "[89.99, 90]", 1)), []string{"FULMAR-3", "89.99"}},
		{"no such hand", "rehearse --hand third", "", []string{"--hand", `"third"`}},
		{"seed that is no number", "rehearse --seed many", "", []string{"--seed", "many", "not a number", "rehearse --help"}},
		{"form that is none", "rehearse --out xml", "", []string{"--out xml", "json"}},
		{"no such option", "rehearse --sauce hot", "", []string{"--sauce"}},
		{"no such command", "rehears", "", []string{`"rehears"`}},
		{"word too many", "rehearse first-hold", "", []string{"first-hold"}},
		{"no sheet", "debrief", "", []string{"needs a run sheet"}},
		{"sheet that is not there", "debrief nowhere/run.jsonl", "", []string{"no file nowhere/run.jsonl"}},
		{"sheet that is none", "debrief %", noSheet, []string{"no.jsonl", ":1", "no run sheet"}},
		{"voice that is none", "rehearse --voice loud", "", []string{"--voice loud", "tone, vowel", "or a WAV file"}},
		{"voice that is no recording", "rehearse --voice %", writeInput(t, "hum.wav", "hum"), []string{"hum.wav"}},
		{"WAV that is to hold nothing known", "rehearse --wav-holds soup", "", []string{"--wav-holds soup", "receive"}},
		{"a radio at no address", "fly --radio http://a:4532", "", []string{"--radio:", "localhost:4532"}},
		{"a second radio at no address", "fly --radio-receive a:b", "", []string{"--radio-receive:", "localhost:4532"}},
		{"a way that is none", "fly --radio localhost --radio-way sideways", "", []string{"--radio-way", "movement, frequency"}},
		{"a way without a radio", "fly --radio-way frequency", "", []string{"give --radio too"}},
		{"the same radio twice", "fly --radio localhost --radio-receive localhost:4532", "", []string{"same radio"}},
		{"a radio to check at no address", "radio check --at a:0", "", []string{"--at:", "localhost:4532"}},
		{"a radio to check for no time", "radio check --for 1ms", "", []string{"--for", "1s"}},
		{"a radio and what", "radio", "", []string{"say check"}},
		{"sound that is none", "fly --audio loud", "", []string{"--audio loud", "silent"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) { refusedInALine(t, c.line, c.file, c.want) })
	}
}

// refusedInALine runs a command line, in which % stands for a file, and checks that it
// is refused in one line that has all the parts.
func refusedInALine(t *testing.T, command, file string, want []string) {
	t.Helper()
	args := strings.Fields(command)
	for i := range args {
		if args[i] == "%" {
			args[i] = file
		}
	}
	var stdout, stderr bytes.Buffer
	status := run(args, &stdout, &stderr)
	if status != exitUsage {
		t.Errorf("exit status %d, want %d", status, exitUsage)
	}
	if stdout.Len() > 0 {
		t.Errorf("printed on standard output: %q", stdout.String())
	}
	line := strings.TrimSuffix(stderr.String(), "\n")
	if line == "" || strings.Contains(line, "\n") || !strings.HasPrefix(line, "driftdrill: ") {
		t.Errorf("want one line that begins with the program's name, got %q", stderr.String())
	}
	for _, part := range want {
		if !strings.Contains(line, part) {
			t.Errorf("%q does not say %q", line, part)
		}
	}
	if testing.Verbose() {
		t.Log(line)
	}
}

// Input that is good is not taken for bad.
func TestGoodInput(t *testing.T) {
	elements := writeInput(t, "good.tle", bundledFile(t, "elements/demo.tle"))
	for _, line := range []string{
		"rehearse --hand none --out json",
		"rehearse --hand perfect --pass 2 --seed 5",
		"rehearse --hand none --elements % --from 2026-11-20T00:00:00Z --site JO30XX",
		"--version",
		"--help",
	} {
		args := strings.Fields(strings.ReplaceAll(line, "%", elements))
		var stdout, stderr bytes.Buffer
		if status := run(args, &stdout, &stderr); status != exitDone {
			t.Errorf("%s: exit status %d: %s", line, status, stderr.String())
		}
		if stdout.Len() == 0 {
			t.Errorf("%s: printed nothing", line)
		}
	}
}
