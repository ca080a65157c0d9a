package club

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"

	"driftdrill/sim"
)

// Night is a night file: what the club flies this evening.
type Night struct {
	Name     string   `toml:"name"`
	Drill    string   `toml:"drill"`    // name, number or TOML file
	Bird     string   `toml:"bird"`     // name or TOML file; "" = the drill's
	Elements string   `toml:"elements"` // file; "" = the bundled ones
	Place    string   `toml:"place"`    // LAT,LON[,ALT_M], locator or site file; "" = Quern Hill
	From     string   `toml:"from"`     // look for the pass from this time, RFC 3339; "" = as on the command line
	Pass     string   `toml:"pass"`     // number after from, or a time at which the bird is up; "" = the first that suits the drill
	Seed     uint64   `toml:"seed"`     // of every heat that has none of its own; never 0
	Tries    int      `toml:"tries"`    // of each member in each heat
	Result   string   `toml:"result"`   // of several tries: "median" or "best"
	Classes  []string `toml:"classes"`
	Handicap bool     `toml:"handicap"`
	ReadyS   int      `toml:"ready_s"` // from the opening of a heat to the start of the wall's clock
	Heats    []Heat   `toml:"heat"`
}

// Heat is one round: everybody who flies in it flies the same run.
type Heat struct {
	Name string `toml:"name"`
	Seed uint64 `toml:"seed"` // 0 = the night's
}

// The bounds of a night: a club's evening, not a contest's week.
const (
	maxHeats = 24
	maxTries = 9
	maxReady = 600
)

// Class is a way to fly, ranked by itself.
type Class struct {
	Name    string
	Rule    string // in a sentence, for the member
	Aids    sim.Aids
	OneHand bool // no notch while the key is held down by hand
}

// classes are all there are, in the order in which the wall shows them.
var classes = []Class{
	{Name: "no aids", Rule: "What a radio shows, and nothing else.", Aids: sim.Aids{Strip: true, FadeTo: 1}},
	{Name: "all aids", Rule: "Ribbon, arrow and the rest may help.", Aids: sim.Aids{Ribbon: true, Strip: true, Yours: true, Arrow: true, Meter: true, Predict: true, FadeTo: 1}},
	{Name: "one hand", Rule: "No aids, and the knob rests while the hand holds the key: latch it, or let go.", Aids: sim.Aids{Strip: true, FadeTo: 1}, OneHand: true},
	{Name: "ears only", Rule: "No picture of the passband either.", Aids: sim.Aids{FadeTo: 1}},
}

func classNamed(name string) *Class {
	for i := range classes {
		if classes[i].Name == name {
			return &classes[i]
		}
	}
	return nil
}

// allows says whether a run with these aids may fly in the class.
func (c *Class) allows(a sim.Aids) bool {
	within := func(has, may bool) bool { return !has || may }
	return within(a.Ribbon, c.Aids.Ribbon) && within(a.Strip, c.Aids.Strip) && within(a.Yours, c.Aids.Yours) && within(a.Arrow, c.Aids.Arrow) &&
		within(a.Meter, c.Aids.Meter) && within(a.Predict, c.Aids.Predict) && within(a.Announce, c.Aids.Ribbon)
}

// ParseNight reads a night file. The error is a *sim.FileError with the line.
func ParseNight(data []byte, file string) (Night, error) {
	n := Night{Tries: 2, Result: "median", ReadyS: 30, Seed: 1}
	if err := sim.DecodeStrict(data, file, &n); err != nil {
		return Night{}, err
	}
	if len(n.Classes) == 0 {
		n.Classes = []string{"no aids"}
	}
	if len(n.Heats) == 0 {
		n.Heats = []Heat{{}}
	}
	for i := range n.Heats {
		if n.Heats[i].Seed == 0 {
			n.Heats[i].Seed = n.Seed
		}
	}
	if f := n.fault(); f != nil {
		return Night{}, sim.FaultAt(data, file, f.key, f.format, f.args...)
	}
	n.orderClasses()
	return n, nil
}

// orderClasses puts them in the order of the wall.
func (n *Night) orderClasses() {
	asked := n.Classes
	n.Classes = nil
	for _, c := range classes {
		for _, name := range asked {
			if name == c.Name {
				n.Classes = append(n.Classes, name)
			}
		}
	}
}

// fault is what is wrong at a key of the file.
type fault struct {
	key, format string
	args        []any
}

func (n *Night) fault() *fault {
	at := func(key, format string, args ...any) *fault { return &fault{key, format, args} }
	switch {
	case strings.TrimSpace(n.Name) == "":
		return at("name", "is missing: give the evening a name")
	case !printable(n.Name, 60):
		return at("name", "give up to 60 printable characters")
	case n.Drill == "":
		return at("drill", "is missing: give a drill by name, number or file")
	case n.Seed == 0:
		return at("seed", "0 stands for none; give another number")
	case n.Tries < 1 || n.Tries > maxTries:
		return at("tries", "%d is outside 1 to %d", n.Tries, maxTries)
	case n.Result != "median" && n.Result != "best":
		return at("result", "%q is neither median nor best", n.Result)
	case n.ReadyS < 0 || n.ReadyS > maxReady:
		return at("ready_s", "%d is outside 0 to %d", n.ReadyS, maxReady)
	case len(n.Heats) > maxHeats:
		return at("heat", "%d heats; an evening has up to %d", len(n.Heats), maxHeats)
	}
	seen := map[string]bool{}
	for _, name := range n.Classes {
		if classNamed(name) == nil {
			return at("classes", "%q is none of no aids, all aids, one hand, ears only", name)
		}
		if seen[name] {
			return at("classes", "%q stands there twice", name)
		}
		seen[name] = true
	}
	for i, h := range n.Heats {
		if !printable(h.Name, 40) {
			return at(fmt.Sprintf("heat[%d].name", i), "give up to 40 printable characters")
		}
	}
	return nil
}

// printable says whether text has at most n characters and none that steers.
func printable(text string, n int) bool {
	count := 0
	for _, r := range text {
		if !unicode.IsPrint(r) {
			return false
		}
		count++
	}
	return count <= n
}

// callForm is what a call sign looks like: letters, digits, and strokes or
// hyphens between them, so that nothing in it can mean anything else anywhere.
var callForm = regexp.MustCompile(`^[A-Z0-9]+([/-][A-Z0-9]+)*$`)

// maxCall is the longest call sign with its strokes.
const maxCall = 16

// parseCall makes a call sign of what somebody typed; false where it is none.
func parseCall(text string) (string, bool) {
	if len(text) > 4*maxCall {
		return "", false
	}
	call := strings.ToUpper(strings.TrimSpace(text))
	if len(call) < 2 || len(call) > maxCall || !callForm.MatchString(call) {
		return "", false
	}
	return call, true
}
