// Package settings is the pages on which a person chooses: the settings, the
// keys, and what the program is made of.
package settings
