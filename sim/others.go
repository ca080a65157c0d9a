package sim

// others are the other stations of a run.
type others struct{}

func (o *others) start(s *Setup, a *air) error { return nil }

func (o *others) step(r *Run, s *State) {}

func (o *Other) check(c *checker, at string, n int) {}
