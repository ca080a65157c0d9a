package sim

import "fmt"

// maxCommands is the most that a run takes and a sheet may hold: 145 a second
// for an hour, or as many as one sheet's reader goes through in some seconds.
const maxCommands = 1 << 19

// maxSheetHeader is the longest first line of a sheet, in bytes: ours have some
// ten thousand.
const maxSheetHeader = 1 << 18

// room says why a sheet cannot hold another command at a tick: no run takes
// more of them in one tick, or altogether.
func (sh *Sheet) room(tick Tick) error {
	n := len(sh.Commands)
	switch {
	case n >= maxCommands:
		return fmt.Errorf("has more than %d commands, more than any run takes", maxCommands)
	case n >= maxPending && sh.Commands[n-maxPending].Tick == tick:
		return fmt.Errorf("has more than %d commands for tick %d, more than any run takes", maxPending, tick)
	}
	return nil
}
