package sim

import "fmt"

// Title names a setting in everyday words.
func (k BenchSetting) Title() string {
	switch k {
	case BenchReceiveMemory:
		return "receive memory"
	case BenchReceiveSideband:
		return "receive sideband"
	case BenchRIT:
		return "RIT"
	case BenchReceiveStep:
		return "receive step"
	case BenchUplinkMemory:
		return "uplink memory"
	case BenchUplinkSideband:
		return "uplink sideband"
	case BenchUplinkStep:
		return "uplink step"
	case BenchKeying:
		return "keying"
	case BenchHeadphones:
		return "headphones"
	}
	return "recorder"
}

// Text writes a value of a setting in a word or two: "memory 3", "LSB", "on,
// +380 Hz", "1 kHz", "VOX".
func (b *Bench) Text(k BenchSetting, v int64) string {
	on := v == 1
	switch k {
	case BenchReceiveMemory, BenchUplinkMemory:
		return fmt.Sprintf("memory %d", v)
	case BenchReceiveSideband, BenchUplinkSideband:
		return Sideband(v & 1).String()
	case BenchReceiveStep, BenchUplinkStep:
		if v >= 1000 {
			return fmt.Sprintf("%d kHz", v/1000)
		}
		return fmt.Sprintf("%d Hz", v)
	case BenchRIT:
		return choose(on, fmt.Sprintf("on, %+d Hz", b.RITHz), "off")
	case BenchKeying:
		return choose(on, "VOX", "PTT")
	case BenchHeadphones:
		return choose(on, "plugged in", "loudspeaker")
	}
	return choose(on, "running", "off")
}

// WantsText writes what the dial card wants of a setting: of a memory the
// dial at AOS, of a step the coarsest that will do.
func (b *Bench) WantsText(k BenchSetting) string {
	switch k {
	case BenchReceiveMemory:
		return DialText(b.Card[0].ReceiveHz)
	case BenchUplinkMemory:
		return DialText(b.Card[0].UplinkHz)
	case BenchReceiveStep, BenchUplinkStep:
		return b.Text(k, b.Wants[k]) + " or finer"
	case BenchKeying:
		return "PTT, VOX off"
	}
	return b.Text(k, b.Wants[k])
}

// DialText writes a frequency as dials and cards do, to the ten hertz: "145.960.00".
func DialText(hz int64) string {
	return fmt.Sprintf("%d.%03d.%02d", hz/1_000_000, hz/1000%1000, hz%1000/10)
}

func choose(on bool, yes, no string) string {
	if on {
		return yes
	}
	return no
}
