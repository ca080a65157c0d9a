// Package start is the page that the window opens with.
package start
