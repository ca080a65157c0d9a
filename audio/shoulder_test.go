package audio

import (
	"fmt"
	"math"
	"testing"

	"driftdrill/sim"
)

// Across the shoulder a voice's ends have the levels that the transponder's
// response gives them, against the carrier's.
func TestVoiceOnTheShoulderIsTilted(t *testing.T) {
	scene := Scene{MiddleHz: 145900000, WidthHz: 40000, ShoulderHz: 3000, ShoulderDB: 40}
	for _, side := range []sim.Sideband{sim.USB, sim.LSB} {
		for _, bird := range []float64{145900000, 145919000, 145921000, 145879500, 145881500} {
			t.Run(fmt.Sprint(side, bird), func(t *testing.T) {
				g := sim.Signal{BirdHz: bird, Sideband: side}
				middle, slope := scene.tilt(&g)
				for _, audio := range []float64{speechLowHz, speechHighHz} {
					at := bird + audio
					if side == sim.LSB {
						at = bird - audio
					}
					want := scene.edgeGain(at) / scene.edgeGain(bird)
					if got := tiltedLevel(middle, slope, audio); math.Abs(got-want) > 0.01+0.01*want {
						t.Errorf("%g Hz comes out at %.3f, want %.3f", audio, got, want)
					}
				}
			})
		}
	}
}

func tiltedLevel(middle, slope float32, audioHz float64) float64 {
	var f shoulder
	tone := newTone(audioHz)
	re, im := make([]float32, voiceFrames), make([]float32, voiceFrames)
	for range 3 {
		tone.fill(re, im)
		f.run(re, im, middle, slope)
	}
	sum := 0.0
	for i := range re {
		sum += float64(re[i]*re[i] + im[i]*im[i])
	}
	return math.Sqrt(sum / voiceFrames)
}
