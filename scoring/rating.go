package scoring

// Rating is the simulated hand that would have done as well on the same pass.
type Rating struct {
	Hand      float64 `json:"hand"`      // 0..100
	SD        float64 `json:"sd"`        // standard deviation of one run's rating
	Saturated bool    `json:"saturated"` // the curve is flat here: the rating says "at least" or "at most"
}
