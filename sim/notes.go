package sim

// NoteField is one of the places of the contact log that a contact fills.
type NoteField uint8

// The fields of an entry.
const (
	NoteCall NoteField = iota
	NoteReport
	NoteLocator
	NoteFields // how many there are
)

// noteRoom is the most characters that a field takes; NoteLengths are those
// that the fields take: a call of the bands' usual lengths, RS, four characters of a locator.
const noteRoom = 8

// NoteLengths are how many characters each field takes at most.
var NoteLengths = [NoteFields]int{noteRoom, 2, 4}

// NoteUnheard stands in a field for a character that was not understood.
const NoteUnheard = '?'

// Note is the operator's log entry of his latest contact: what he has heard
// of it, and what his keys have made of that. It holds no pointers.
type Note struct {
	fields [NoteFields][noteRoom]byte // padded with zeros
	hand   [NoteFields]bool           // changed by hand: what is heard from here on changes it no more
}

// Field returns what stands in a field; "" = nothing.
func (n *Note) Field(f NoteField) string {
	b := n.fields[f][:]
	for i, c := range b {
		if c == 0 {
			return string(b[:i])
		}
	}
	return string(b)
}

// At returns the character in a place of a field, 0 = none.
func (n *Note) At(f NoteField, place int) byte { return n.fields[f][place] }

// ByHand tells whether the operator has changed a field.
func (n *Note) ByHand(f NoteField) bool { return n.hand[f] }

// NoteValue is the value of a CommandNote that puts a character, a capital
// letter or a digit, into a place of a field; 0 takes away what stands there and behind it.
func NoteValue(f NoteField, place int, c byte) int64 {
	return (int64(f)*16+int64(place))*256 + int64(c)
}

// Write carries out a CommandNote with this value. A place behind the end of what is there is
// reached over NoteUnheard. Values that name no place or no character do nothing.
func (n *Note) Write(value int64) {
	f, place, c := value/(16*256), int(value/256%16), byte(value%256)
	if value < 0 || f >= int64(NoteFields) || place >= NoteLengths[f] {
		return
	}
	field := &n.fields[f]
	switch {
	case c == 0:
		clear(field[place:])
	case c >= 'A' && c <= 'Z' || c >= '0' && c <= '9':
		for i := 0; i < place; i++ {
			if field[i] == 0 {
				field[i] = NoteUnheard
			}
		}
		field[place] = c
	default:
		return
	}
	n.hand[f] = true
}

// fill writes into a field what was understood of a word, unless the operator has changed it.
func (n *Note) fill(f NoteField, word string, grade int) {
	if n.hand[f] {
		return
	}
	clear(n.fields[f][:])
	if grade == understoodNot {
		return
	}
	for i := 0; i < min(len(word), NoteLengths[f]); i++ {
		n.fields[f][i] = word[i]
		if grade == understoodPart && i%2 == 1 {
			n.fields[f][i] = NoteUnheard
		}
	}
}

// notebook is what the operator hears the others say of themselves, and his
// entry of the latest contact. Nothing on the air depends on it.
type notebook struct {
	ears  [MaxOthers]noteEar
	entry Note
	of    int // index of the station that it is about; -1 = there has been no contact
	done  int // contacts, as counted when the entry was begun
}

// noteEar is how one station is heard.
type noteEar struct {
	script  int16 // that he is saying; -1 = none
	samples int
	heard   int // of them, while the operator was listening and the voice in the filter
	sumHz   float64
	sumDB   float64
	points  [NoteFields]int // 2 = understood whole; an over that is understood in part gives 1, so that twice is enough
}

// tells are the fields that each script tells.
var tells = [scriptsOfOne][NoteFields]bool{
	sayCall: {true, false, false}, sayAnswer: {true, true, true}, sayAgain: {true, false, false}, sayThanks: {true, false, false},
	sayOver: {true, true, true}, sayReply: {true, true, false}, sayCallYou: {true, false, false}, sayOff: {true, false, false}, sayMove: {true, false, false},
}

func (n *notebook) start() {
	n.of = -1
	for i := range n.ears {
		n.ears[i].script = -1
	}
}

// listen samples the voices, 20 times a second, and keeps the entry of the latest contact.
func (n *notebook) listen(o *others, r *Run) {
	a, p := &r.air, &o.player
	for i := range o.list {
		n.hear(i, &o.list[i], r)
	}
	if p.done != n.done {
		n.done, n.entry, n.of = p.done, Note{}, p.last
	}
	if n.of < 0 {
		return
	}
	report, locator := a.setup.Gives(n.of)
	for f, word := range [NoteFields]string{o.list[n.of].Call, report, locator} {
		n.entry.fill(NoteField(f), word, n.ears[n.of].points[f])
	}
}

// hear samples one voice in the operator's receiver by the same measure as
// others hear him: by its offset and its S/N, and only while his own key is up.
func (n *notebook) hear(i int, st *station, r *Run) {
	e, a := &n.ears[i], &r.air
	script := int16(-1)
	if st.on && !st.carrier {
		script = st.script
	}
	if script != e.script {
		e.end()
		e.script = script
	}
	if script < 0 {
		return
	}
	e.samples++
	off := abs(float64(st.birdHz*(1-a.beta)) - a.tunedHz)
	snr := st.eirpDBW - st.edgeDB + a.pathDB - a.noiseDBWHz - ssbFilterDB
	if st.inside && a.on && !r.dials.keyed && off < filterHz && snr > noticedDB {
		e.heard++
		e.sumHz += off
		e.sumDB += snr
	}
}

// end grades the over that has just ended.
func (e *noteEar) end() {
	h := hearing{inFilter: e.heard, samples: e.samples, sumHz: e.sumHz, sumDB: e.sumDB}
	if grade := h.grade(); e.script >= 0 && grade != understoodNot {
		for f, told := range tells[int(e.script)%scriptsOfOne] {
			if told {
				e.points[f] = min(understoodWhole, e.points[f]+grade)
			}
		}
	}
	e.samples, e.heard, e.sumHz, e.sumDB = 0, 0, 0, 0
}
