//go:build !nodesk

package desk

func newLogbookPage() Scene { return newTrouble("The logbook", errSoon) }
