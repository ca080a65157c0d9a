// Package sim is what happens on the air during one run: the station and its
// dials, the bird's transponder, the other stations on it, the drill's plan,
// and the run sheet. It makes no sound, draws nothing and knows no wall clock.
//
// # Time
//
// The clock is an integer Tick of 5 ms counted from the start of the drill.
// UTC is computed from it and never accumulated. Whoever renders (sound,
// rehearsal, replay) calls Run.Step once for each tick.
//
// # Signs
//
// Range rate v is positive when receding, b = v/c. One way, a signal sent at f
// arrives at f(1-b); the same form is used on both legs. An inverting
// transponder sends s = K - f_u(1-b), where K is the sum of its band edges and
// its oscillator error, and the operator hears s(1-b). His own offset e is
// that frequency minus the frequency his receiver is tuned to: e > 0 is "too
// high". On an inverting bird turning the uplink up lowers e.
//
// # One tick
//
// Step takes the commands that were posted, and advance works out what has a
// memory: exercise, dials, air (bird, links, AGC, other stations), plan. fill
// then writes the State. A replay calls the same advance and fills the state
// only where it is asked for. Frequencies are worked out at each tick, levels
// and other stations 20 times a second.
//
// # The same bits everywhere
//
// A Setup and its commands decide a run on any processor. Everything that
// processors may compute differently in the last bits (SGP4, the library's
// transcendental functions) is rounded before it is used, products in kernels
// are kept from fusing with sums, each subsystem draws from its own seeded
// stream, and the hashes in a sheet are taken over rounded values.
package sim
