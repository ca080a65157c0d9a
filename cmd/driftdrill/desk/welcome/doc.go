// Package welcome is the page of the very first start: it asks for call and place
// and sets the level of the headphones.
package welcome
