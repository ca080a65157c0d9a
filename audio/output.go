package audio

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"
)

// Output says what an engine gives to its sink.
type Output uint8

// The outputs. All go through the limiter.
const (
	OutputHeard      Output = iota // as heard in the headset
	OutputReceive                  // the receiver alone, the same on both channels
	OutputMicReceive               // left the microphone while keyed, right the receiver: what a recorder at a real station holds
)

// fileOut writes the outputs that are made for files: no headset, no fades.
func (e *Engine) fileOut() {
	const g = referenceRMS * math.Sqrt2
	for i := range tickFrames {
		left := e.heard[i]
		if e.output == OutputMicReceive {
			left = e.ownRe[i]
		}
		e.out[2*i], e.out[2*i+1] = left*g, e.heard[i]*g
	}
}

// SoundFiles says which files Render writes; a nil one is left out.
type SoundFiles struct {
	WAV    io.WriteSeeker // 16 bit, 48 kHz: one channel for OutputReceive, otherwise two
	IQData io.Writer      // the passband: complex float32, little endian, 96 kHz
	IQMeta io.Writer      // its SigMF metadata
	Title  string         // for the metadata
	Start  time.Time      // UTC of the run's first tick, for the metadata
}

// Render runs an engine to its end and writes files of it as fast as it can.
// The engine's Config.Output decides what the WAV holds.
func Render(e *Engine, f SoundFiles) error {
	iq := newIQWriter(f)
	if iq != nil {
		e.tap = iq.put
		defer func() { e.tap = nil }()
	}
	var wav *WAVWriter
	channels := 2
	if e.output == OutputReceive {
		channels = 1
	}
	if f.WAV != nil {
		w, err := NewWAVWriter(f.WAV, WAVInt16, channels, SampleRate)
		if err != nil {
			return err
		}
		wav = w
	}
	err := renderAll(e, wav, channels)
	if wav != nil {
		err = errors.Join(err, wav.Close())
	}
	if iq != nil {
		err = errors.Join(err, iq.finish())
	}
	return err
}

func renderAll(e *Engine, wav *WAVWriter, channels int) error {
	buf := make([]float32, 2*20*tickFrames)
	for {
		n := e.Fill(buf)
		x := buf[:2*n]
		if channels == 1 {
			for i := range n {
				x[i] = x[2*i]
			}
			x = x[:n]
		}
		if wav != nil {
			if err := wav.Write(x); err != nil {
				return err
			}
		}
		if 2*n < len(buf) {
			return nil
		}
	}
}

// iqScale brings the passband's unit, the amplitude of the noise in 2400 Hz,
// into the range that programs expect: noise of the whole passband then has
// the amplitude 0.0063 and a signal of 20 dB 0.01.
const iqScale = 0.001

// iqWriter writes the passband with SigMF metadata (the open Signal Metadata
// Format, version 1.0.0: cf32_le, global, captures and annotations objects).
type iqWriter struct {
	data, meta io.Writer
	files      SoundFiles
	buf        []byte
	samples    int64
	captures   []sigmfCapture
	err        error
}

type sigmfCapture struct {
	Start     int64   `json:"core:sample_start"`
	Frequency float64 `json:"core:frequency"`
	Datetime  string  `json:"core:datetime,omitempty"`
}

type sigmfGlobal struct {
	Datatype    string  `json:"core:datatype"`
	Rate        float64 `json:"core:sample_rate"`
	Version     string  `json:"core:version"`
	Description string  `json:"core:description"`
	Recorder    string  `json:"core:recorder"`
}

func newIQWriter(f SoundFiles) *iqWriter {
	if f.IQData == nil {
		return nil
	}
	return &iqWriter{data: f.IQData, meta: f.IQMeta, files: f}
}

// put takes one tick of passband.
func (w *iqWriter) put(re, im []float32, centreHz float64) {
	if w.err != nil {
		return
	}
	if n := len(w.captures); n == 0 || w.captures[n-1].Frequency != centreHz {
		c := sigmfCapture{Start: w.samples, Frequency: centreHz}
		if !w.files.Start.IsZero() {
			at := w.files.Start.Add(time.Duration(float64(w.samples) / passRate * float64(time.Second)))
			c.Datetime = at.UTC().Format("2006-01-02T15:04:05.000Z")
		}
		w.captures = append(w.captures, c)
	}
	w.buf = w.buf[:0]
	for i, x := range re {
		w.buf = binary.LittleEndian.AppendUint32(w.buf, math.Float32bits(x*iqScale))
		w.buf = binary.LittleEndian.AppendUint32(w.buf, math.Float32bits(im[i]*iqScale))
	}
	if _, err := w.data.Write(w.buf); err != nil {
		w.err = fmt.Errorf("passband after %d samples: %w", w.samples, err)
	}
	w.samples += int64(len(re))
}

func (w *iqWriter) finish() error {
	if w.err != nil || w.meta == nil {
		return w.err
	}
	doc := struct {
		Global      sigmfGlobal    `json:"global"`
		Captures    []sigmfCapture `json:"captures"`
		Annotations []struct{}     `json:"annotations"`
	}{
		Global: sigmfGlobal{
			Datatype: "cf32_le", Rate: passRate, Version: "1.0.0", Recorder: "driftdrill",
			Description: strings.TrimSuffix(w.files.Title, ".") + ". Simulated passband as the receive dial counts it; 0.001 is the amplitude of the first tick's noise in 2400 Hz.",
		},
		Captures:    w.captures,
		Annotations: []struct{}{},
	}
	enc := json.NewEncoder(w.meta)
	enc.SetIndent("", "  ")
	if err := enc.Encode(doc); err != nil {
		return fmt.Errorf("passband metadata: %w", err)
	}
	return nil
}
