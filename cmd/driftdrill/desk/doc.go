// Package desk is the window: its screens and what they ask of the program. It
// posts the operator's commands to a session and draws the session's snapshots.
// It computes no physics, opens no files, and knows no clock but that of its own
// animations: wall-clock time never reaches the simulation. What the screens are
// made of is in kit.
package desk
