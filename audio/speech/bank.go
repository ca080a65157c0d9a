package speech

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/jfreymuth/oggvorbis"
)

// Rate is the rate of the recordings, Hz.
const Rate = 16000

// The files of a bank.
const (
	SoundFile = "words.ogg"
	IndexFile = "words.txt"
)

// A span is a recording in the file, in samples.
type span struct{ start, length int }

// Bank is a set of recorded words and phrases. It is safe from any goroutine,
// but not from the sound thread: recordings are decoded when first asked for.
type Bank struct {
	spans   map[string]span
	longest int // words of the longest phrase

	mu      sync.Mutex
	file    *oggvorbis.Reader
	samples int
	clips   map[string][]float32
}

// Load opens the bank in a folder of fsys: SoundFile and IndexFile.
func Load(fsys fs.FS, folder string) (*Bank, error) {
	index, err := fs.ReadFile(fsys, folder+"/"+IndexFile)
	if err != nil {
		return nil, fmt.Errorf("spoken words: %w", err)
	}
	sound, err := fs.ReadFile(fsys, folder+"/"+SoundFile)
	if err != nil {
		return nil, fmt.Errorf("spoken words: %w", err)
	}
	return newBank(index, sound)
}

func newBank(index, sound []byte) (*Bank, error) {
	file, err := oggvorbis.NewReader(bytes.NewReader(sound))
	if err != nil {
		return nil, fmt.Errorf("spoken words: %s: %w", SoundFile, err)
	}
	if file.SampleRate() != Rate || file.Channels() != 1 {
		return nil, fmt.Errorf("spoken words: %s has %d Hz and %d channels; make.sh makes %d Hz and 1", SoundFile, file.SampleRate(), file.Channels(), Rate)
	}
	b := &Bank{file: file, samples: int(file.Length()), clips: map[string][]float32{}}
	b.spans, err = readIndex(index, b.samples)
	if err != nil {
		return nil, err
	}
	for name := range b.spans {
		b.longest = max(b.longest, 1+strings.Count(name, " "))
	}
	return b, nil
}

// readIndex reads lines "start length name": samples, and the words of a
// recording with spaces between them.
func readIndex(index []byte, samples int) (map[string]span, error) {
	spans := map[string]span{}
	n := 0
	for sc := bufio.NewScanner(bytes.NewReader(index)); sc.Scan(); {
		n++
		f := strings.SplitN(sc.Text(), " ", 3)
		if len(f) != 3 || f[2] == "" {
			return nil, fmt.Errorf("spoken words: %s line %d: want start, length and words", IndexFile, n)
		}
		start, err1 := strconv.Atoi(f[0])
		length, err2 := strconv.Atoi(f[1])
		if err1 != nil || err2 != nil || start < 0 || length <= 0 || start > samples || length > samples-start {
			return nil, fmt.Errorf("spoken words: %s line %d: %s %s does not lie in the %d samples", IndexFile, n, f[0], f[1], samples)
		}
		spans[f[2]] = span{start, length}
	}
	if len(spans) == 0 {
		return nil, errors.New("spoken words: " + IndexFile + " is empty")
	}
	return spans, nil
}

// Has tells whether there is a recording of a word or phrase.
func (b *Bank) Has(name string) bool {
	_, ok := b.spans[name]
	return ok
}

// Names lists the recordings in order.
func (b *Bank) Names() []string { return slices.Sorted(maps.Keys(b.spans)) }

// Missing reads a text and returns the words in it that have no recording
// of their own and would be spelled.
func (b *Bank) Missing(text string) []string {
	var missing []string
	Read(text, func(w string) bool {
		if !b.Has(w) {
			missing = append(missing, w)
		}
		return true
	})
	return missing
}

// clip decodes a recording. What cannot be decoded is silence.
func (b *Bank) clip(name string) []float32 {
	b.mu.Lock()
	defer b.mu.Unlock()
	if c, ok := b.clips[name]; ok {
		return c
	}
	s := b.spans[name]
	c := make([]float32, s.length)
	if err := b.file.SetPosition(int64(s.start)); err == nil {
		for n := 0; n < len(c); {
			k, err := b.file.Read(c[n:])
			n += k
			if err != nil {
				break
			}
		}
	}
	b.clips[name] = c
	return c
}
