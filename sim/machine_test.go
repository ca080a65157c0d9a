package sim

import (
	"bytes"
	"testing"
	"time"

	"driftdrill/orbit"
)

// The same run on another machine is the same sheet but for its first line;
// everything else of the first line is in the chain.
func TestTheMachineIsNotInTheChain(t *testing.T) {
	here := []byte(`{"driftdrill_sheet":2,"program":"driftdrill 0.2.0","goos":"linux","goarch":"amd64","go":"go1.26.8","setup":{"seed":1}}`)
	want := chainHeader(here)
	for _, edit := range []struct {
		from, to string
		same     bool
	}{
		{"linux", "windows", true},
		{"amd64", "arm64", true},
		{"go1.26.8", "go1.27", true},
		{"0.2.0", "0.3.0", false},
		{`"seed":1`, `"seed":2`, false},
		{`sheet":2`, `sheet":3`, false},
		{`"goos":`, `"setup":{"seed":2},"goos":`, false},
		{`"linux"`, `"lin\"ux"`, false},
	} {
		line := bytes.Replace(here, []byte(edit.from), []byte(edit.to), 1)
		if bytes.Equal(line, here) {
			t.Fatalf("%s is not there", edit.from)
		}
		if same := chainHeader(line) == want; same != edit.same {
			t.Errorf("%s to %s: the same chain is %v", edit.from, edit.to, same)
		}
	}
}

// What two processors computed of one pass, one with fused products: the setup
// is the same.
func TestTheSetupIsTheSameOnEveryProcessor(t *testing.T) {
	at := time.Date(2026, 11, 20, 0, 48, 42, 146754590, time.UTC)
	amd64 := orbit.Pass{AOS: at, AOSAzimuthDeg: 196.12911933654527, MaxElevationDeg: 27.630214167338746, TCARangeKm: 1473.8568685333262}
	arm64 := orbit.Pass{AOS: at.Add(2), AOSAzimuthDeg: 196.12911933654533, MaxElevationDeg: 27.630214167338643, TCARangeKm: 1473.8568685333257}
	if rounded(amd64) != rounded(arm64) {
		t.Errorf("%+v and %+v", rounded(amd64), rounded(arm64))
	}
}
