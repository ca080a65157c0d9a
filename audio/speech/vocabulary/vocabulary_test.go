package vocabulary

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"driftdrill/assets"
	"driftdrill/audio/speech"
)

// Whoever writes a new word into the program has it recorded too.
func TestEveryWordOfTheProgramIsRecorded(t *testing.T) {
	bank, err := speech.Load(assets.FS, "voices/spoken")
	if err != nil {
		t.Fatal(err)
	}
	texts, err := Texts(os.DirFS("../../.."))
	if err != nil {
		t.Fatal(err)
	}
	words := Words(texts)
	if len(words) < 1000 {
		t.Fatalf("only %d words were found in the program", len(words))
	}
	var missing []string
	for _, w := range words {
		if !bank.Has(w) {
			missing = append(missing, w)
		}
	}
	if len(missing) > 0 {
		t.Errorf("not recorded: %s: run sh make.sh spoken in assets/voices", strings.Join(missing, ", "))
	}
}

// Letters, the spelling alphabet, digits and numbers have to be there for
// names that nobody foresaw.
func TestWhatEveryNameNeedsIsRecorded(t *testing.T) {
	bank, err := speech.Load(assets.FS, "voices/spoken")
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"A, B, C, D, E, F, G, H, I., J, K, L, M, N, O, P, Q, R, S, T, U, V, W, X, Y, Z",
		"Q1ABCDEFGHIJKLM", "Q1NOPQRSTUVWXYZ", "987654321098 and 1234567890123, 0 11 12 13 14 15 16 17 18 19 20 -40.5 +30 90 1000000",
		"1 s, 2 ms, 3 min, 4 h, 5 Hz, 6 kHz, 7 MHz, 8 GHz, 9 dB, 1 km, 2 km, 3 cm, 4 W, 5 wpm, 6 %, 7°, 1 m", "a_b/c.d@e\\f"} {
		for _, name := range speech.Read(text, bank.Has) {
			if name != "," && name != "." && !bank.Has(name) {
				t.Errorf("%q: no recording of %q", text, name)
			}
		}
	}
}

func TestTextsAreFound(t *testing.T) {
	tree := fstest.MapFS{
		"cmd/driftdrill/desk/a.go": {Data: []byte("package a\nimport \"x/quux\"\n// comment words\ntype T struct { F int `tag:\"tagged\"` }\n" +
			"var s = \"Turn %d notches up. Then wait.\" + `raw words here`\nvar k = \"key:ArrowUp some_name\"\nvar e = os.Getenv(\"VARIABLE\")\n")},
		"cmd/driftdrill/desk/a_test.go": {Data: []byte("package a\nvar s = \"unheard\"\n")},
		"assets/drills/d.toml":          {Data: []byte("title = \"Come \\\"back\\\"\"\n# remark\n")},
	}
	texts, err := Texts(tree)
	if err != nil {
		t.Fatal(err)
	}
	words := " " + strings.Join(Words(texts[:len(texts)-1]), " ") + " "
	if want := " back come here key notches raw then turn up wait words "; words != want {
		t.Errorf("words%swant%s", words, want)
	}
	tree["sim/bad.go"] = &fstest.MapFile{Data: []byte("package")}
	if _, err := Texts(tree); err == nil {
		t.Error("no error from a file that is no Go")
	}
}
