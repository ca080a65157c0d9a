// Package club is the server of a club night: one pass, flown by everybody
// within the evening, each on a machine of his own.
//
// A night file says what is flown. The trainer opens and closes heats; members
// join by a code, fly, and send their run sheets; each sheet is replayed and
// marked here from its commands, and refused with a reason where it does not
// hold. What is accepted lies in the night book (SQLite) before the answer
// goes out. The wall shows who flies and, after a heat is closed, who held it
// best. Nothing leaves the machine that it runs on but answers to requests.
//
// Times are the server's own, UTC, in milliseconds since 1970 in the book.
package club
