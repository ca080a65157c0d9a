//go:build !nodesk

package settings

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// everything shows all that there can be on the page of the settings.
func everything(p *port.Pages) {
	p.Voices = []string{port.VoiceSystem, port.VoiceBundled, port.VoiceService}
	p.CheckRadio = func(text string) (string, bool) { return "a radio at " + text, true }
	p.Stations = func() []port.Station { return []port.Station{{}, {Name: "balcony"}} }
	p.Built = [][2]string{{"driftdrill", "1.2.3"}}
	p.Speak = func(string) {}
}

// differing names the settings in which two differ, with what stands in the latter.
func differing(a, b port.Settings) string {
	var all []string
	var compare func(x, y reflect.Value, at string)
	compare = func(x, y reflect.Value, at string) {
		for i := range x.NumField() {
			name := at + x.Type().Field(i).Name
			switch f, g := x.Field(i), y.Field(i); {
			case f.Kind() == reflect.Struct:
				compare(f, g, name+".")
			case !reflect.DeepEqual(f.Interface(), g.Interface()):
				all = append(all, fmt.Sprintf("%s %v", name, g.Interface()))
			}
		}
	}
	compare(reflect.ValueOf(a), reflect.ValueOf(b), "")
	return strings.Join(all, ", ")
}

// stood is what a widget shows.
func stood(w kit.Widget) string {
	switch w := w.(type) {
	case *kit.Choice:
		return w.Words[w.At]
	case *kit.Slider:
		return w.Format(*w.Value)
	case *kit.StickSlider:
		return w.Format(*w.Value)
	case *kit.TextField:
		return w.Value
	}
	return ""
}

// turned changes a widget as its user would, to the last choice but "full screen",
// by a few steps, or to a text; false = there is nothing to change.
func turned(w kit.Widget) bool {
	slide := func(s *kit.Slider) {
		*s.Value += 3 * s.Step
		s.Changed()
	}
	switch w := w.(type) {
	case *kit.Choice:
		if w.Name == "window" {
			return false
		}
		w.At = len(w.Words) - 1 - w.At/(len(w.Words)-1) // the last, or the one before it
		w.Changed(w.At)
	case *kit.Slider:
		slide(w)
	case *kit.StickSlider:
		slide(&w.Slider)
	case *kit.TextField:
		w.Value = "Q7OWL"
		w.Done(w.Value)
	default:
		return false
	}
	return true
}

// widgetNamed is a widget of the page by its name, and the part where it is.
func (s *settingsPage) widgetNamed(name string) (int, kit.Widget) {
	for n, part := range s.parts {
		for _, w := range part {
			if strings.HasPrefix(w.Spoken(), name+":") || strings.HasPrefix(w.Spoken(), name+",") {
				return n, w
			}
		}
	}
	return -1, nil
}

// Whatever is set on the page is set, and nothing else; the program hears of it at
// once, the page shows it when it is opened again, and it is kept on leaving.
func TestEachSettingSetsWhatItSays(t *testing.T) {
	for _, c := range []struct{ name, sets, shows string }{
		{"everything", "Levels.MasterDB 3", "+3 dB"},
		{"your voice as spoken", "Levels.SidetoneDB 3", "+3 dB"},
		{"balance of the ears", "Levels.BalanceDB 3", "left 3 dB down"},
		{"sound buffer, from the next run on: longer where sound breaks up", "BufferMS 160", "160 ms"},
		{"ears", "Levels.Split false", "both in both"},
		{"your voice as spoken is in the", "Levels.Swap true", "right ear"},
		{"pitch of your tone and Morse, from the next run on", "ToneHz 730", "730 Hz"},
		{"your own speech as spoken, too", "HearMyself true", "yes"},
		{"you hear best", "ToneHz 1160, Levels.Region high", "900-1500 Hz"},
		{"a tick for each notch of the knob", "Levels.Ticks true", "yes"},
		{"say everything aloud", "EarsOnly true", "yes"},
		{"the spoken voice", "SpeechRate 200", "200 words a minute"},
		{"spoken by", "Voice service", "the speech service"},
		{"pulses that tell how far off you are, where the drill helps", "OffsetSound never", "never"},
		{"text size", "TextScale 1.3", "130 %"},
		{"colours", "Palette sun", "bright sun"},
		{"one notch of the knob, where the drill leaves it to you", "StepHz 100", "100 Hz"},
		{"notches for one click of the mouse wheel", "WheelNotches 2.5", "2.5"},
		{"notches for one turn of the drawn knob or of a stick", "DragNotches 48", "48"},
		{"wheel away from you", "WheelTurned true", "turns down"},
		{"gamepad: the knob is the", "KnobStick left", "left stick"},
		{"gamepad stick: how far before it counts", "StickDeadZone 0.5", "50 %"},
		{"Morse key, from the next run on", "MorseKey straight", "straight"},
		{"Morse paddles", "MorseSwapped true", "change places"},
		{"Morse speed", "MorseWPM 21", "21 words a minute"},
		{"your radio's dial is the knob", "RadioKnob Q7OWL", "Q7OWL"},
		{"a second radio's dial is the receive dial", "RadioReceive Q7OWL", "Q7OWL"},
		{"of a radio's dial counts", "RadioShows true", "what it shows"},
		{"your name in the logbook", "Operator Q7OWL", "Q7OWL"},
		{"your call", "Call Q7OWL", "Q7OWL"},
		{"your place", "Site Q7OWL", "Q7OWL"},
	} {
		t.Run(c.name, func(t *testing.T) { settingSets(t, c.name, c.sets, c.shows) })
	}
}

// settingSets changes the setting of a name, and checks all that comes of it.
func settingSets(t *testing.T, name, sets, shows string) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var told, kept port.Settings
	p := New().(*settingsPage)
	s.ShowWith(p, everything)
	s.App.Cfg.SetVoice = func(set port.Settings) { told = set }
	s.App.Cfg.SaveSettings = func(set port.Settings) error { kept = set; return nil }
	before := s.App.Set
	_, w := p.widgetNamed(name)
	if w == nil || !turned(w) {
		t.Fatal("it is not there")
	}
	if got := differing(before, s.App.Set); got != sets {
		t.Errorf("it sets %s, want %s", got, sets)
	}
	if _, field := w.(*kit.TextField); !field && differing(told, s.App.Set) != "" {
		t.Errorf("the program was told another thing: %s", differing(told, s.App.Set))
	}
	p.Enter(s.App)
	if _, w := p.widgetNamed(name); stood(w) != shows {
		t.Errorf("opened again it shows %q, want %q", stood(w), shows)
	}
	s.App.Scenes.Pop(s.App)
	if got := differing(kept, s.App.Set); got != "" {
		t.Errorf("kept is another thing: %s", got)
	}
}

// Everything that stands on the page in the table's parts is also there to be gone
// to, in the order in which people look for it; what there is nothing for is left out.
func TestWhatStandsOnThePage(t *testing.T) {
	names := func(change func(*port.Pages)) (all []string) {
		s := desktest.BareStage(t, 1280, 720, 1, "night")
		p := New().(*settingsPage)
		s.ShowWith(p, change)
		for n := range p.parts {
			var part []string
			for _, w := range p.parts[n] {
				part = append(part, strings.SplitN(w.Spoken(), ".", 2)[0])
			}
			all = append(all, strings.Join(part, "; "))
		}
		return all
	}
	full := names(everything)
	bare := names(func(p *port.Pages) { p.TestTone, p.OwnVoices = nil, nil })
	for n, want := range []string{"Play the test tone", "Play the test tone", "", "your radio's dial is the knob", "About"} {
		if !strings.Contains(full[n], want) || want != "" && strings.Contains(bare[n], want) {
			t.Errorf("%s: with all there is %q, without %q", settingsParts[n], full[n], bare[n])
		}
	}
	if !strings.Contains(full[1], "spoken by") || strings.Contains(bare[1], "spoken by") {
		t.Errorf("ears: who speaks is asked %q, %q", full[1], bare[1])
	}
	you := strings.Split(full[4], "; ")
	if i := slices.Index(you, "My stations"); i != 3 {
		t.Errorf("you: %q", you)
	}
}

// What a level does is heard while the tone plays, which ends when the page is left.
func TestLevelsReachTheTone(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var levels []port.Levels
	ended := make(chan bool, 1)
	p := New().(*settingsPage)
	s.ShowWith(p, func(pages *port.Pages) {
		pages.TestTone = func(port.Settings) (func(), func(port.Levels), error) {
			return func() { ended <- true }, func(l port.Levels) { levels = append(levels, l) }, nil
		}
	})
	part := p.parts[0]
	button := part[6].(*kit.Button)
	button.Do()
	for n := 0; n < 5000 && len(levels) == 0; n++ { // until the sound has begun
		s.Step()
		turned(part[2])
	}
	if len(levels) == 0 || levels[len(levels)-1] != s.App.Set.Levels {
		t.Fatalf("the tone heard %+v of %+v", levels, s.App.Set.Levels)
	}
	s.App.Scenes.Pop(s.App)
	<-ended
}

// Everything is said aloud from the moment in which it is wished, and the last word
// is that it is no more.
func TestSpeechIsTurnedOnAndOff(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	var said []string
	p := New().(*settingsPage)
	s.ShowWith(p, func(pages *port.Pages) { pages.Speak = func(text string) { said = append(said, text) } })
	_, w := p.widgetNamed("say everything aloud")
	ears := w.(*kit.Choice)
	for i, want := range []string{"Nothing is said aloud any more.", "Everything is said aloud."} {
		said = nil
		if ears.Changed(i); !slices.Equal(said, []string{want}) || s.App.Set.EarsOnly != (i == 1) {
			t.Errorf("answer %d: said %q", i, said)
		}
	}
	s.App.Cfg.Voices = []string{port.VoiceSystem, port.VoiceBundled}
	p.Enter(s.App)
	said = nil
	_, w = p.widgetNamed("spoken by")
	if turned(w); !slices.Equal(said, []string{"This is the voice now."}) {
		t.Errorf("another voice: said %q", said)
	}
}

// The station where one is stands beside the button that changes it.
func TestStation(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	s.App.Set.Site, s.App.Set.Station = "JO40aa", "balcony"
	p := New().(*settingsPage)
	s.ShowWith(p, func(pages *port.Pages) {
		everything(pages)
	})
	station := p.parts[4][3].(*kit.Button)
	if station.Hint != "you are at balcony" {
		t.Errorf("the station: %q", station.Hint)
	}
	s.App.Set.Station = ""
	if p.Enter(s.App); !strings.HasPrefix(p.parts[4][3].(*kit.Button).Hint, "place and radios") {
		t.Errorf("the usual station: %q", p.parts[4][3].(*kit.Button).Hint)
	}
}
