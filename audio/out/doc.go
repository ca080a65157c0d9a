// Package out plays sound on the machine's device, or on no device at a
// device's pace. It is the only package that knows the sound library.
package out
