//go:build !nodesk

package screen

import (
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
)

// VoiceButton asks what the operator speaks with in the runs that he begins
// now, until the program ends: one of his own voices in place of that of the
// settings. It is off where there is no choice.
func VoiceButton(a *App) *kit.Button {
	b := &kit.Button{Text: "Your voice", Off: a.Cfg.OwnVoices == nil}
	if b.Off {
		return b
	}
	var have []port.OwnVoice
	words := []string{"as the settings say"}
	at := 0
	for _, v := range a.Cfg.OwnVoices() {
		if v.Off || v.Name == "" {
			continue
		}
		have = append(have, v)
		words = append(words, v.Words)
		if v.Name == a.RunVoice {
			at = len(words) - 1
			b.Text = "Your voice: " + v.Words
		}
	}
	b.Do = func() {
		a.Scenes.Push(a, NewPick("What do you speak with?", words, at, func(i int) {
			if a.RunVoice = ""; i > 0 {
				a.RunVoice = have[i-1].Name
			}
		}))
	}
	return b
}

// BesideBack places a button beside a page's way back, as wide as there is room
// beside the heading for.
func BesideBack(a *App, p *Page, b *kit.Button) {
	room := p.Back.Rect.X - 16 - p.Head.X - a.Type.Width(p.Title, kit.Title) - 24
	w := a.Type.Width(b.Text, kit.Lead) + 44
	if short := a.Type.Width("Voice", kit.Lead) + 44; w > room && short <= room {
		b.Text, w = "Voice", short
	}
	b.Rect = kit.Box(p.Back.Rect.X-16-w, p.Back.Rect.Y, w, p.Back.Rect.H)
}
