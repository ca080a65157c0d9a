// Package mic captures the operator's microphone for a live own voice. It is
// left out of the program unless it is built with the tag mic; without the
// tag Open says so.
package mic
