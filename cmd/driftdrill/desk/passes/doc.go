// Package passes is the page of the passes over one's own place, with the page that
// asks for the place.
package passes
