package legible

import (
	"regexp"
	"strings"
)

var (
	tomlDecode = regexp.MustCompile(`^cannot decode TOML ([a-z ]+?) into (?:struct field .+ of type )?(\S+)$`)
	tomlStore  = regexp.MustCompile(`^cannot store an? (.+?) in an? (\S+)$`)
)

// TOML turns what the TOML library says of a value of the wrong kind, in words
// of Go, into words of a file's author. Every other message stays as it is, but
// for the library's name at its beginning.
func TOML(message string) string {
	message = strings.TrimPrefix(message, "toml: ")
	m := tomlDecode.FindStringSubmatch(message)
	if m == nil {
		m = tomlStore.FindStringSubmatch(message)
	}
	if m == nil {
		return message
	}
	return wantedInTOML(m[2]) + " is wanted here, not " + givenInTOML(m[1])
}

// wantedInTOML names a Go type as a file's author writes its values.
func wantedInTOML(t string) string {
	t = strings.TrimPrefix(t, "*")
	switch {
	case strings.HasPrefix(t, "["), t == "slice", t == "array":
		return "a list"
	case strings.HasPrefix(t, "int"), strings.HasPrefix(t, "uint"):
		return "a whole number"
	case strings.HasPrefix(t, "float"):
		return "a number"
	case t == "string":
		return "text in quotes"
	case t == "bool":
		return "true or false"
	}
	return "something else"
}

// givenInTOML names what stands in the file.
func givenInTOML(kind string) string {
	switch kind {
	case "integer", "float":
		return "a number"
	case "string":
		return "text"
	case "boolean":
		return "true or false"
	case "array":
		return "a list"
	}
	return "a " + kind
}
