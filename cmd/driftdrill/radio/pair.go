package radio

// Pair says which radios are at the knob. Its zero value is none.
type Pair struct {
	Knob    string // address of the one whose dial is the knob; "" = none
	Receive string // address of the one whose dial is the receive dial; "" = none
	Way     Way
}
