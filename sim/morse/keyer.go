package morse

// Kind is a kind of key.
type Kind string

// The kinds of key. A squeeze of both paddles sends dots and dashes by turns; when
// it is let go, mode A ends with the sign under way and mode B adds the other one.
const (
	Straight Kind = "straight"
	IambicA  Kind = "iambic A"
	IambicB  Kind = "iambic B"
)

// Kinds are all of them, the usual one first.
func Kinds() []Kind { return []Kind{IambicB, IambicA, Straight} }

// Speeds that a keyer takes, words per minute.
const (
	SlowestWPM = 12
	UsualWPM   = 18
	FastestWPM = 30
)

// Keyer turns two paddles into key down and key up, tick by tick. Its signs are
// exact on the average; each begins and ends at a tick.
type Keyer struct {
	kind Kind
	wpm  int
	dot  int // length of a dot in parts; a tick has as many parts as there are words per minute

	dash   bool // the sign under way, or the last one
	phase  int  // parts since it began
	length int  // of the sign with the space after it, parts; 0 = none is under way
	memory bool // the other one comes next
	was    [2]bool
}

// NewKeyer makes a keyer for so many ticks a second. A speed outside SlowestWPM to
// FastestWPM is brought to its end; an unknown kind is the usual one.
func NewKeyer(kind Kind, wpm, ticksPerSecond int) *Keyer {
	if kind != Straight && kind != IambicA {
		kind = IambicB
	}
	return &Keyer{kind: kind, wpm: min(max(wpm, SlowestWPM), FastestWPM), dot: 6 * ticksPerSecond / 5}
}

// Step takes the paddles of one tick and says whether the key is down in it.
func (k *Keyer) Step(dot, dash bool) (down bool) {
	if k.kind == Straight {
		return dot || dash
	}
	now := [2]bool{dot, dash}
	if k.length > 0 {
		k.phase += k.wpm
		k.remember(now)
		if k.phase >= k.length {
			k.phase -= k.length
			k.next(now)
		}
	} else if dot || dash {
		k.phase = 0
		k.begin(dash && !dot)
	}
	k.was = now
	return k.length > 0 && k.phase < k.length-k.dot
}

// remember keeps the other paddle for after this sign: mode B where it is closed at
// any moment, mode A where it closes anew.
func (k *Keyer) remember(now [2]bool) {
	i := 1
	if k.dash {
		i = 0
	}
	if now[i] && (k.kind == IambicB || !k.was[i]) {
		k.memory = true
	}
}

func (k *Keyer) next(now [2]bool) {
	same, other := now[0], now[1]
	if k.dash {
		same, other = other, same
	}
	switch {
	case k.memory || other:
		k.begin(!k.dash)
	case same:
		k.begin(k.dash)
	default:
		k.length, k.phase = 0, 0
	}
}

func (k *Keyer) begin(dash bool) {
	k.dash, k.memory = dash, false
	k.length = (1 + InsideDots) * k.dot
	if dash {
		k.length = (DashDots + InsideDots) * k.dot
	}
}
