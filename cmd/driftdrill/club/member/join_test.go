package member

import (
	"strings"
	"testing"
)

// Whatever stands after --join becomes the address of a server, with a code and
// a call, or one line that says what is missing.
func FuzzJoin(f *testing.F) {
	f.Add("http://192.0.2.7:8437/?code=heron42", "q1abc")
	f.Add("192.0.2.7:8437/?code=heron42", "")
	f.Add("http://[::1]:8437/?code=%00", "Q1\n")
	f.Add("javascript:alert(1)", "Q1ABC")
	f.Fuzz(func(t *testing.T, address, call string) {
		m, err := Join(address, call, "")
		switch {
		case err != nil && (strings.ContainsAny(err.Error(), "\n\r") || err.Error() == ""):
			t.Errorf("more than a line: %q", err)
		case err == nil && (m.code == "" || m.Call == "" || m.base.Host == "" || m.base.Path != "" || m.base.User != nil || m.base.Scheme != "http" && m.base.Scheme != "https"):
			t.Errorf("%q, %q: %+v", address, call, m)
		}
	})
}
