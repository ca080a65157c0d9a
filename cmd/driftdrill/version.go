package main

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"

	"driftdrill/audio/mic"
)

// version is what CHANGELOG.md calls this state of the program; commit and
// built (the commit's time, RFC 3339) say more of it. A release build writes
// all three (-ldflags -X).
var version, commit, built = "0.2.0-dev", "", ""

// program is what the program calls itself in what it writes.
var program = "driftdrill " + version

// versionText is what --version prints: the version, then what it was built
// from and with.
func versionText() string {
	var b strings.Builder
	for _, fact := range versionFacts() {
		fmt.Fprintf(&b, "%-10s %s\n", fact[0], fact[1])
	}
	return b.String()
}

// versionFacts are what is known of this build, name and value.
func versionFacts() [][2]string {
	window, microphone := "no window", "no microphone"
	if hasDesk {
		window = "window"
	}
	if mic.Available {
		microphone = "microphone"
	}
	facts := [][2]string{
		{"driftdrill", version},
		{"commit", commitWords(commit, built)},
		{"built", fmt.Sprintf("with %s for %s/%s, %s, %s", runtime.Version(), runtime.GOOS, runtime.GOARCH, window, microphone)},
	}
	if s := buildSettings(); s != "" {
		facts = append(facts, [2]string{"settings", s})
	}
	return facts
}

// commitWords say of which commit the program is, and of what time.
func commitWords(commit, at string) string {
	commit = commit[:min(len(commit), 12)]
	switch {
	case commit == "" && at == "":
		return "not known: it was built without a note of it"
	case commit == "":
		return "not known, of " + at
	case at == "":
		return commit
	}
	return commit + ", " + at
}

// buildSettings are the build's options that the Go toolchain recorded.
func buildSettings() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	var out []string
	for _, s := range info.Settings {
		switch s.Key {
		case "-tags", "-trimpath", "-race", "CGO_ENABLED", "GOAMD64", "GOARM64":
			out = append(out, s.Key+"="+s.Value)
		}
	}
	return strings.Join(out, " ")
}
