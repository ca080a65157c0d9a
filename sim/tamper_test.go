package sim

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// sheetLines is a whole run of the hand "good" as lines, the header first.
func sheetLines(t *testing.T) []string {
	t.Helper()
	s := prepared(t, "come-back", 1)
	s.Length = 40 * TicksPerSecond
	_, sheet, _ := fly(t, s, "good")
	lines := strings.SplitAfter(string(sheet), "\n")
	return lines[:len(lines)-1] // the text after the last line end is empty
}

func replayLines(t *testing.T, lines []string) (Difference, error) {
	t.Helper()
	sh, err := ReadSheet(strings.NewReader(strings.Join(lines, "")), "sheet")
	if err != nil {
		return Difference{}, err
	}
	d, err := Replay(sh, 1000, nil)
	if err != nil {
		t.Fatal(err)
	}
	return d, nil
}

// without drops the lines that have a text.
func without(lines []string, text string) []string {
	var out []string
	for _, l := range lines {
		if !strings.Contains(l, text) {
			out = append(out, l)
		}
	}
	return out
}

// swap replaces the first line that has a text.
func swap(lines []string, has, with string) []string {
	out := append([]string(nil), lines...)
	for i, l := range out {
		if strings.Contains(l, has) {
			out[i] = strings.Replace(l, has, with, 1)
			break
		}
	}
	return out
}

// A whole sheet agrees; every edit that somebody might try does not, or is not read.
func TestSheetsCannotBeTalkedRound(t *testing.T) {
	whole := sheetLines(t)
	if d, err := replayLines(t, whole); err != nil || d.What != "" {
		t.Fatalf("a sheet as it was written: %+v, %v", d, err)
	}
	last := len(whole) - 1
	var turned string
	for _, l := range whole {
		if strings.Contains(l, `"do":"uplink"`) {
			turned = l
			break
		}
	}
	cutAt := func(second int) []string {
		for i, l := range whole {
			if strings.Contains(l, fmt.Sprintf(`"second":%d,`, second)) {
				return append([]string(nil), whole[:i+1]...)
			}
		}
		return nil
	}
	for name, lines := range map[string][]string{
		"a turn taken out":                    without(whole, turned),
		"a turn the other way":                swap(whole, turned, strings.Replace(turned, `"value":`, `"value":-`, 1)),
		"a turn taken out with its hashes":    without(without(whole, turned), `"second":`),
		"all hashes taken out":                without(whole, `"second":`),
		"the last hashes taken out":           append(cutAt(20), whole[last]),
		"one hash taken out":                  without(whole, `"second":11,`),
		"an end typed in":                     append(cutAt(20), fmt.Sprintf(`{"end":%d,"hash":"%016x"}`+"\n", 21*TicksPerSecond, uint64(1))),
		"an end typed in without a hash":      append(cutAt(20), fmt.Sprintf(`{"end":%d}`+"\n", 21*TicksPerSecond)),
		"a stop and an end typed in":          append(cutAt(20), fmt.Sprintf("{\"tick\":%d,\"do\":\"stop\"}\n", 21*TicksPerSecond-1), fmt.Sprintf(`{"end":%d}`+"\n", 21*TicksPerSecond)),
		"the hash of the end taken out":       append(append([]string(nil), whole[:last]...), fmt.Sprintf(`{"end":%d}`+"\n", 40*TicksPerSecond)),
		"aids denied in the header":           swap(whole, `"ribbon":true`, `"ribbon":false`),
		"an easier pass mark":                 swap(whole, `"pass":4`, `"pass":9`),
		"a shorter run in the header":         swap(whole, fmt.Sprintf(`"length":%d`, 40*TicksPerSecond), fmt.Sprintf(`"length":%d`, 30*TicksPerSecond)),
		"an old format that has no chain":     swap(whole, `"driftdrill_sheet":2`, `"driftdrill_sheet":1`),
		"an aid taken back after it was used": swap(whole, `"do":"key"`, `"do":"aids"`),
	} {
		if strings.Join(lines, "") == strings.Join(whole, "") {
			t.Errorf("%s: nothing was edited", name)
		}
		if d, err := replayLines(t, lines); err == nil && d.What == "" {
			t.Errorf("%s: the sheet agrees all the same", name)
		}
	}
}

// A sheet that a crash cut short proves what stands in it, and says so at its
// end once it has been completed; it is no whole run.
func TestCutSheetsSaySo(t *testing.T) {
	whole := sheetLines(t)
	sh, err := ReadSheet(strings.NewReader(strings.Join(whole[:len(whole)*2/3], "")), "sheet")
	if err != nil || sh.Ended {
		t.Fatal(err)
	}
	line, err := CutLine(sh, nil)
	if err != nil {
		t.Fatal(err)
	}
	again, err := ReadSheet(strings.NewReader(strings.Join(whole[:len(whole)*2/3], "")+string(line)), "sheet")
	if err != nil || !again.Ended || !again.EndCut || again.End != sh.End {
		t.Fatalf("%+v, %v", again, err)
	}
	if d, err := Replay(again, 1000, nil); err != nil || d.What != "" {
		t.Errorf("%+v, %v", d, err)
	}
}

// The writer's clock stands beside the hashes and is in none of them.
func TestSheetShowsHowFastItsRunWentBy(t *testing.T) {
	s := prepared(t, "come-back", 1)
	s.Length = 5 * TicksPerSecond
	texts := [2]string{}
	for k := range texts {
		r, rec, out := recorded(t, s)
		for n := 0; !r.Done(); n++ {
			r.Step(nil)
			if n%TicksPerSecond == TicksPerSecond-1 && k == 1 {
				if err := rec.FlushAt(time.Duration(n) * 6 * time.Millisecond); err != nil {
					t.Fatal(err)
				}
			}
		}
		if err := rec.Finish(nil); err != nil {
			t.Fatal(err)
		}
		texts[k] = out.String()
	}
	sh, err := ReadSheet(strings.NewReader(texts[1]), "sheet")
	if err != nil {
		t.Fatal(err)
	}
	if want := "[1194 2394 3594 4794 5994]"; fmt.Sprint(sh.WallMS) != want {
		t.Errorf("clock %v, want %s", sh.WallMS, want)
	}
	if bare, err := ReadSheet(strings.NewReader(texts[0]), "sheet"); err != nil || bare.WallMS != nil || fmt.Sprint(bare.Hashes) != fmt.Sprint(sh.Hashes) || bare.EndHash != sh.EndHash {
		t.Errorf("the clock is in the hashes: %v", err)
	}
	if d, err := Replay(sh, 1000, nil); err != nil || d.What != "" {
		t.Errorf("%+v, %v", d, err)
	}
}
