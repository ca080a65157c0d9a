package club

import (
	"strings"
	"testing"
)

func TestNightFilesAreStrict(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"unknown key", "name = \"A\"\ndrill = \"x\"\nseeds = 3\n", `night.toml:3:1: unknown key "seeds"`},
		{"no name", "drill = \"x\"\n", "name: is missing"},
		{"no drill", "name = \"A\"\n", "drill: is missing"},
		{"seed 0", "name = \"A\"\ndrill = \"x\"\nseed = 0\n", "night.toml:3:1: seed: 0 stands for none"},
		{"ten tries", "name = \"A\"\ndrill = \"x\"\ntries = 10\n", "night.toml:3:1: tries: 10 is outside 1 to 9"},
		{"a class", "name = \"A\"\ndrill = \"x\"\nclasses = [\"best\"]\n", `classes: "best" is none of`},
		{"a class twice", "name = \"A\"\ndrill = \"x\"\nclasses = [\"no aids\", \"no aids\"]\n", "stands there twice"},
		{"result", "name = \"A\"\ndrill = \"x\"\nresult = \"mean\"\n", "neither median nor best"},
		{"steering name", "name = \"A\\u202eB\"\ndrill = \"x\"\n", "printable"},
		{"heat name", "name = \"A\"\ndrill = \"x\"\n[[heat]]\n[[heat]]\nname = \"\\u0007\"\n", "night.toml:5:1: "},
		{"half a line", "name = \"A", "night.toml:1:"},
	} {
		_, err := ParseNight([]byte(c.text), "night.toml")
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v; wanted %q", c.name, err, c.want)
		}
	}
	n, err := ParseNight([]byte("name = \"A\"\ndrill = \"x\"\nclasses = [\"ears only\", \"no aids\"]\n[[heat]]\n[[heat]]\nseed = 9\n"), "night.toml")
	if err != nil {
		t.Fatal(err)
	}
	if n.Tries != 2 || n.Result != "median" || n.Heats[0].Seed != 1 || n.Heats[1].Seed != 9 || n.Classes[0] != "no aids" {
		t.Errorf("what is left out: %+v", n)
	}
}

func FuzzNight(f *testing.F) {
	f.Add(nightText)
	f.Add("name = \"A\"\ndrill = \"x\"\n[[heat]]\nname = \"b\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		n, err := ParseNight([]byte(text), "night.toml")
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Errorf("more than a line: %q", err)
			}
			return
		}
		if len(n.Heats) == 0 || len(n.Classes) == 0 || n.Tries < 1 || !printable(n.Name, 60) {
			t.Errorf("%+v", n)
		}
	})
}

func FuzzCall(f *testing.F) {
	for _, s := range []string{"q1abc", "Q1ABC/P", "<b>", "Q1\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		call, ok := parseCall(text)
		if again, k := parseCall(call); ok && (!k || again != call || len(call) > maxCall || strings.ContainsAny(call, "<>&\"'` \r\n\x00%{}")) {
			t.Errorf("%q gives %q", text, call)
		}
	})
}

// Codes are told apart whatever people put between their words, and by nothing else.
func TestCodes(t *testing.T) {
	for _, given := range []string{"heron 42", "Heron42", " heron-42 ", "HERON 42"} {
		if !sameCode(given, testCode) {
			t.Errorf("%q is refused", given)
		}
	}
	for _, given := range []string{"", "heron", "heron 43", "heron 421", "42 heron", "hérön 42"} {
		if sameCode(given, testCode) {
			t.Errorf("%q is taken", given)
		}
	}
	if sameCode("", "") || sameCode("-", " ") {
		t.Error("no code is a code")
	}
	seen := map[string]bool{}
	for range 200 {
		c, err := NewCode(3)
		if err != nil {
			t.Fatal(err)
		}
		seen[c] = true
	}
	if len(seen) < 190 { // of 23 million, 200 differ but for one time in a thousand
		t.Errorf("%d different codes of 200", len(seen))
	}
}
