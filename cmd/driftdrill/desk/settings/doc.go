// Package settings is everything that a person may choose, with the pages of the
// keys and of what the program is made of.
package settings
