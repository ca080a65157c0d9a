// Package desk is the window. Its screens stand in packages beneath it, which do
// not know one another: this package alone knows them all and joins them. They
// post the operator's commands to a session and draw the session's snapshots.
// They compute no physics, open no files, and know no clock but that of their
// own animations: wall-clock time never reaches the simulation. What screens
// share is in screen, what they are made of in kit, what they say to the program
// and it to them in port.
package desk
