package main

import (
	"os"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"driftdrill/assets/licences"
)

func TestVersionTellsTheBuild(t *testing.T) {
	status, out, errs := call("--version")
	if status != exitDone || errs != "" {
		t.Fatal(status, errs)
	}
	for _, want := range []string{"driftdrill " + version + "\n", "commit", runtime.Version(), runtime.GOOS + "/" + runtime.GOARCH, "window", "microphone"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q does not say %q", out, want)
		}
	}
}

// What is not known of a build is said once.
func TestCommitInWords(t *testing.T) {
	const hash, at = "0123456789abcdef", "2026-11-27T18:00:00Z"
	for _, c := range [][3]string{
		{hash, at, "0123456789ab, " + at}, {"0123", at, "0123, " + at}, {hash, "", "0123456789ab"},
		{"", at, "not known, of " + at}, {"", "", "not known: it was built without a note of it"},
	} {
		if got := commitWords(c[0], c[1]); got != c[2] {
			t.Errorf("%q at %q: %q, want %q", c[0], c[1], got, c[2])
		}
	}
	for _, fact := range versionFacts() {
		if strings.Count(fact[1], "not known") > 1 {
			t.Errorf("%s: %s", fact[0], fact[1])
		}
	}
}

// The changelog begins with what is not released yet; below it each version
// has its date. A version in the making is later than the last one there.
func TestChangelogKnowsTheVersion(t *testing.T) {
	text, err := os.ReadFile("../../CHANGELOG.md")
	if err != nil {
		t.Fatal(err)
	}
	heads := regexp.MustCompile(`(?m)^## (.*)$`).FindAllStringSubmatch(string(text), -1)
	if len(heads) < 2 || heads[0][1] != "Unreleased" {
		t.Fatalf("the changelog begins with %v", heads)
	}
	dated := regexp.MustCompile(`^(\d+\.\d+\.\d+), (\d{4}-\d{2}-\d{2})$`)
	for _, h := range heads[1:] {
		if !dated.MatchString(h[1]) {
			t.Errorf("%q is no version and date", h[1])
		}
	}
	if last := dated.FindStringSubmatch(heads[1][1]); last != nil && !strings.HasPrefix(version, last[1]) && !strings.HasSuffix(version, "-dev") {
		t.Errorf("this is %s and the changelog's last version %s", version, last[1])
	}
}

func TestLicencesAreAllPrinted(t *testing.T) {
	status, out, errs := call("licences")
	if status != exitDone || errs != "" || out != licences.Text {
		t.Error(status, errs, len(out))
	}
	status, out, _ = call("licences", "--names")
	if lines := strings.Split(strings.TrimSpace(out), "\n"); status != exitDone || len(lines) < 30 || lines[0] != "driftdrill" {
		t.Errorf("%d %q", status, out)
	}
}
