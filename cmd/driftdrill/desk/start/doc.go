// Package start is the page that the window opens with: the drill that makes
// sense next, and the passes of the next hours.
package start
