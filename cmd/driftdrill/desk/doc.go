// Package desk opens the program's window and joins its screens. The screens
// are packages beneath it that do not know one another: this package alone knows
// them all. They post the operator's commands to a session and draw the session's
// snapshots. They compute no physics, open no files, and know no clock but that
// of their own animations: wall-clock time never reaches the simulation. Package
// screen has what screens share, kit what they are made of, port what they and
// the program say to each other.
package desk
