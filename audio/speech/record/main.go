// Command record makes the bundled spoken words with espeak-ng: it collects
// what the program says, lets each word and the fixed phrases be spoken, trims
// them, brings them to one level, and writes a sound file of 16 bit and the
// index to it. assets/voices/make.sh runs it and compresses the sound.
package main

import (
	"bytes"
	"encoding/binary"
	"flag"
	"fmt"
	"log"
	"math"
	"os"
	"os/exec"
	"strings"
	"sync"

	"driftdrill/audio/speech"
	"driftdrill/audio/speech/vocabulary"
)

// The recordings are made at the rate of espeak-ng and lie on a grid that is
// whole samples at both rates: 20 ms.
const (
	madeRate = 22050
	grid     = madeRate / 50
	keptGrid = speech.Rate / 50
)

func main() {
	log.SetFlags(0)
	tree := flag.String("tree", ".", "the repository")
	sound := flag.String("sound", "words.raw", "where the sound goes: 16 bit, 22050 Hz, one channel, no header")
	index := flag.String("index", speech.IndexFile, "where the index goes")
	most := flag.Float64("most", 1050, "seconds of sound: phrases are recorded until it is full")
	flag.Parse()
	texts, err := vocabulary.Texts(os.DirFS(*tree))
	if err != nil {
		log.Fatal(err)
	}
	var lines bytes.Buffer
	var all []int16
	add := func(r recording) {
		if len(r.sound) == 0 {
			log.Fatalf("nothing was spoken for %q", r.text)
		}
		at := len(all) / grid
		fmt.Fprintf(&lines, "%d %d %s\n", at*keptGrid, (len(r.sound)*speech.Rate+madeRate-1)/madeRate, r.name)
		all = append(all, r.sound...)
		all = append(all, make([]int16, 2*grid+(grid-len(all)%grid)%grid)...)
	}
	words := spokenWords(vocabulary.Words(texts))
	for _, r := range speakAll(words) {
		add(r)
	}
	log.Printf("%d words, %.0f s", len(words), float64(len(all))/madeRate)
	kept := 0
	for _, r := range speakAll(spokenPhrases(texts)) {
		if float64(len(all)+len(r.sound))/madeRate > *most {
			continue
		}
		add(r)
		kept++
	}
	log.Printf("%d phrases, %.0f s in all", kept, float64(len(all))/madeRate)
	raw := make([]byte, 0, 2*len(all))
	for _, v := range all {
		raw = binary.LittleEndian.AppendUint16(raw, uint16(v))
	}
	for path, data := range map[string][]byte{*sound: raw, *index: lines.Bytes()} {
		if err := os.WriteFile(path, data, 0o644); err != nil {
			log.Fatal(err)
		}
	}
}

// recording is a name in the index, what is spoken for it, and how it sounds.
type recording struct {
	name, text string
	sound      []int16
}

// said are words that are not spoken as they are written.
var said = map[string]string{"a": "[[@]]", "the": "[[D@]]", "x-ray": "x ray", "alfa": "alpha", "juliett": "juliet", "driftdrill": "drift drill", "espeak": "e speak",
	"mon": "Monday", "tue": "Tuesday", "wed": "Wednesday", "thu": "Thursday", "fri": "Friday", "sat": "Saturday", "jan": "January", "feb": "February",
	"mar": "March", "apr": "April", "jun": "June", "jul": "July", "aug": "August", "sep": "September", "oct": "October", "nov": "November", "dec": "December",
	"oh": "[[oU]]", "lead": "leed", "read": "reed", "live": "[[laIv]]"}

// spokenWords adds letters, the spelling alphabet, numbers and units.
func spokenWords(words []string) []recording {
	var out []recording
	seen := map[string]bool{}
	add := func(name, text string) {
		if !seen[name] {
			seen[name] = true
			out = append(out, recording{name: name, text: text})
		}
	}
	for c := 'A'; c <= 'Z'; c++ {
		add(string(c), string(c))
	}
	for _, w := range speech.Alphabet {
		add(w, w)
	}
	for n := range 100 {
		add(strings.Join(speech.Number(n), " "), strings.Join(speech.Number(n), " "))
	}
	for _, w := range append(speech.UnitWords(), words...) {
		add(w, w)
	}
	for i := range out {
		if s, ok := said[out[i].name]; ok {
			out[i].text = s
		}
	}
	return out
}

// spokenPhrases are the fixed phrases that read as words all through.
func spokenPhrases(texts []string) []recording {
	var out []recording
	seen := map[string]bool{}
	for _, p := range vocabulary.Phrases(texts) {
		name := strings.Join(speech.Read(p, func(string) bool { return true }), " ")
		if strings.Count(name, " ") < 2 || seen[name] || strings.ToLower(name) != name {
			continue
		}
		seen[name] = true
		out = append(out, recording{name: name, text: strings.ReplaceAll(p, "driftdrill", "drift drill")})
	}
	return out
}

// speakAll lets espeak-ng speak on all processors.
func speakAll(rs []recording) []recording {
	var wg sync.WaitGroup
	next := make(chan int)
	for range 2 {
		wg.Go(func() {
			for i := range next {
				rs[i].sound = speak(rs[i].text)
			}
		})
	}
	for i := range rs {
		next <- i
	}
	close(next)
	wg.Wait()
	return rs
}

// speak lets one text be spoken, as one in the middle of a sentence unless it
// ends one, and trims and levels it.
func speak(text string) []int16 {
	if !strings.HasSuffix(text, ".") && !strings.HasSuffix(text, "?") && !strings.HasSuffix(text, "!") {
		text += ","
	}
	cmd := exec.Command("espeak-ng", "-v", "en-gb+f3", "-p", "45", "-s", "185", "-z", "--stdout", "--", text)
	out, err := cmd.Output()
	if err != nil {
		log.Fatalf("espeak-ng on %q: %v", text, err)
	}
	const header = 44
	if len(out) < header || binary.LittleEndian.Uint32(out[24:]) != madeRate {
		log.Fatalf("espeak-ng on %q: not a sound of %d Hz", text, madeRate)
	}
	x := make([]float64, (len(out)-header)/2)
	for i := range x {
		x[i] = float64(int16(binary.LittleEndian.Uint16(out[header+2*i:]))) / 32768
	}
	return levelled(trimmed(x))
}

// Trimming: what is quieter than the loudest part by trimDB is silence.
const (
	frame    = madeRate / 200 // 5 ms
	trimDB   = 42
	fadeIn   = madeRate * 4 / 1000
	fadeOut  = madeRate * 14 / 1000
	levelRMS = 0.1
	peakMost = 0.7
)

// trimmed cuts the silence at both ends and lets the ends swing in and out.
func trimmed(x []float64) []float64 {
	e := energies(x)
	top := 0.0
	for _, v := range e {
		top = math.Max(top, v)
	}
	floor := top * math.Pow(10, -trimDB/10.0)
	first, last := 0, len(e)
	for first < last && e[first] <= floor {
		first++
	}
	for last > first && e[last-1] <= floor {
		last--
	}
	from, to := max(first*frame-frame, 0), min(last*frame+2*frame, len(x))
	y := append([]float64(nil), x[from:to]...)
	for i := range y {
		y[i] *= swing(i, fadeIn) * swing(len(y)-1-i, fadeOut)
	}
	return y
}

func swing(i, n int) float64 {
	if i >= n {
		return 1
	}
	return 0.5 - 0.5*math.Cos(math.Pi*(float64(i)+0.5)/float64(n))
}

func energies(x []float64) []float64 {
	var e []float64
	for i := 0; i+frame <= len(x); i += frame {
		s := 0.0
		for _, v := range x[i : i+frame] {
			s += v * v
		}
		e = append(e, s/frame)
	}
	return e
}

// levelled brings the voiced part, that is what lies within 15 dB of the loudest 5 ms, to one
// level and turns single peaks down.
func levelled(x []float64) []int16 {
	e := energies(x)
	top, sum, n := 0.0, 0.0, 0
	for _, v := range e {
		top = math.Max(top, v)
	}
	for _, v := range e {
		if v > top*math.Pow(10, -1.5) {
			sum += v
			n++
		}
	}
	if n == 0 {
		return nil
	}
	g := levelRMS / math.Sqrt(sum/float64(n))
	y := make([]int16, len(x))
	for i, v := range x {
		v *= g
		if a := math.Abs(v); a > peakMost/2 { // soft: never above peakMost
			v = math.Copysign(peakMost/2+peakMost/2*math.Tanh((a-peakMost/2)/(peakMost/2)), v)
		}
		y[i] = int16(math.Round(v * 32767))
	}
	return y
}
