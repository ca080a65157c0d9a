package sim

// Fault is one thing that is wrong, for the drill that asks which.
type Fault uint8

// The faults. Their order is the order of the closed list; the values go into
// answers and sheets and never change.
const (
	FaultNone            Fault = iota
	FaultUplinkSideband        // the transmitter is on the wrong sideband
	FaultBothSidebands         // both radios are
	FaultOutsidePassband       // the uplink lies outside the passband
	FaultRigReference          // the transmitter's reference is 3 kHz off
	FaultDiplexer              // the diplexer is out: desense while keyed
	FaultTransponderOff        // the transponder is off
	FaultOldElements           // the computed dial comes from old elements
	FaultClock                 // the computer's clock is wrong
)

var faultTable = []struct {
	name, text string
}{
	FaultNone:            {"none", "nothing is wrong"},
	FaultUplinkSideband:  {"uplink-sideband", "my transmitter is on the wrong sideband"},
	FaultBothSidebands:   {"both-sidebands", "both my radios are on the wrong sideband"},
	FaultOutsidePassband: {"outside-passband", "my uplink is outside the passband"},
	FaultRigReference:    {"rig-reference", "my transmitter's dial is some kHz out"},
	FaultDiplexer:        {"diplexer-out", "my transmitter deafens my receiver"},
	FaultTransponderOff:  {"transponder-off", "the transponder is off"},
	FaultOldElements:     {"old-elements", "my elements are old"},
	FaultClock:           {"clock-wrong", "my clock is wrong"},
}

// String returns the name that drill files use.
func (f Fault) String() string {
	if int(f) < len(faultTable) {
		return faultTable[f].name
	}
	return "unknown"
}

// Text returns the fault as the closed list shows it.
func (f Fault) Text() string {
	if int(f) < len(faultTable) {
		return faultTable[f].text
	}
	return "unknown"
}

func faultByName(name string) (Fault, bool) {
	for i, f := range faultTable {
		if f.name == name {
			return Fault(i), true
		}
	}
	return 0, false
}
