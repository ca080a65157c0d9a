// Package desktest is what tests of screens share: a stage without a window, a seat
// with devices that a test plays, a made-up run and made-up pages, and the checks
// that every screen has to pass. Only tests import it.
package desktest
