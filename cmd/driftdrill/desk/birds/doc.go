// Package birds is the page of the operator's own birds and those in the program,
// and the form in which one is typed in or changed.
package birds
