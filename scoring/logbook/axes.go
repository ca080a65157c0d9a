package logbook

import (
	"encoding/binary"
	"math"
	"slices"
	"time"

	"driftdrill/scoring"
)

// Length of a packed observation: value and standard deviation of each axis as
// float32, little-endian, and, since formula 2, a byte each for the bound.
const (
	axesBytes    = scoring.NumAxes * 8
	boundedBytes = scoring.NumAxes * 9
)

// bounds are the bytes of a packed bound.
var bounds = [...]scoring.Bound{scoring.Within, scoring.AtLeast, scoring.AtMost}

func packAxes(r *scoring.Rating) []byte {
	if r == nil {
		return nil
	}
	o := scoring.Observe(time.Time{}, r)
	out := make([]byte, 0, boundedBytes)
	for i := range scoring.NumAxes {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(o.Value[i])))
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(o.SD[i])))
	}
	for i := range scoring.NumAxes {
		out = append(out, byte(slices.Index(bounds[:], o.Bound[i])))
	}
	return out
}

// UnpackAxes fills in the axes of an observation.
func UnpackAxes(b []byte, o *scoring.Observation) {
	if len(b) == boundedBytes {
		for i, k := range b[axesBytes:] {
			o.Bound[i] = bounds[min(int(k), len(bounds)-1)]
		}
		b = b[:axesBytes]
	}
	if len(b) != axesBytes {
		return
	}
	for i := range scoring.NumAxes {
		o.Value[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(b[8*i:])))
		o.SD[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(b[8*i+4:])))
	}
}
