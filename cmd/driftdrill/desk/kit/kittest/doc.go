// Package kittest is what tests of screens and widgets share: devices that a
// test plays, a window's loop to run tests in, and pictures to compare. It does
// not import kit, so that kit's own tests may use it.
package kittest
