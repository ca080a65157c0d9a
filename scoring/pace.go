package scoring

// Halting says in a few words what is wrong with the pace or the sound of a run
// under these conditions, so that it does not count; "" where they are clean.
// Only Speed and GapShare matter.
func (c *Conditions) Halting() string {
	switch {
	case c.Speed > 0 && c.Speed < slowestSpeed:
		return "this machine is too slow"
	case c.GapShare > mostGapShare:
		return "the sound breaks up"
	}
	return ""
}
