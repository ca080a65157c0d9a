//go:build !nodesk

package desk

// tellNow implements teller: the whole result, with the rating once it is known.
func (d *debrief) tellNow(*App) string {
	return sentences(d.spoken(), upperStart(d.ratingLine()))
}
