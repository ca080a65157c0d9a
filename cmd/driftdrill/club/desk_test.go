package club

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"html"
	"io"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"driftdrill/assets"
)

// madeUpDesk is a desk whose program is no program, to see how it is served.
func madeUpDesk(t *testing.T) *deskEdition {
	t.Helper()
	var z bytes.Buffer
	w := gzip.NewWriter(&z)
	_, _ = w.Write([]byte("\x00asm, as it were"))
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	d, err := newDesk(z.Bytes(), []byte("// runs it"), fstest.MapFS{
		"voices/README.md":     {Data: []byte("no folder")},
		"voices/alder/0.wav":   {Data: []byte("nought")},
		"voices/alder/1.wav":   {Data: []byte("one")},
		"voices/hazel/cq.wav":  {Data: []byte("general call")},
		"birds/not-a-voice.md": {Data: []byte("a bird")},
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Where the build has no desk for browsers, the pages say what to do and the
// evening goes on without.
func TestWithoutTheDesk(t *testing.T) {
	n := newNight(t, nightText)
	n.desk = func() (*deskEdition, error) { return nil, nil }
	n.open(1)
	if a := n.do("GET", "/", nil, "Cookie", n.asMember("Q1ABC", "no aids")); !strings.Contains(a.body, "make browser") || strings.Contains(a.body, `href="/fly"`) {
		t.Error("the member is not told how to come by the desk:", a.body)
	}
	for _, path := range []string{"/desk", "/desk/desk-0.wasm"} {
		if a := n.do("GET", path, nil); a.status != 404 || !strings.Contains(a.body, "make browser") || strings.Contains(a.header.Get("Content-Security-Policy"), "wasm") {
			t.Error(path, a.status, a.header, a.body)
		}
	}
	n.desk = func() (*deskEdition, error) { return nil, errors.New("broken") }
	if a := n.do("GET", "/desk", nil); a.status != 404 {
		t.Error(a.status)
	}
}

var scripts = regexp.MustCompile(`<script src="([^"]*)"`)

// The page of the desk alone may compile WebAssembly; it names its files by their
// hashes, and those are kept by the browser for good.
func TestHowTheDeskIsServed(t *testing.T) {
	n := newNight(t, nightText)
	d := madeUpDesk(t)
	n.desk = func() (*deskEdition, error) { return d, nil }
	n.open(1)
	if a := n.do("GET", "/fly", nil); a.status != http.StatusSeeOther || a.header.Get("Location") != "/" {
		t.Error("somebody flies who has not joined:", a.status)
	}
	member := n.asMember("Q1ABC", "no aids")
	if a := n.do("GET", "/", nil, "Cookie", member); !strings.Contains(a.body, `href="/fly"`) || strings.Contains(a.header.Get("Content-Security-Policy"), "wasm") {
		t.Error(a.body, a.header)
	}
	a := n.do("GET", "/fly", nil, "Cookie", member)
	policy := a.header.Get("Content-Security-Policy")
	if a.status != 200 || !strings.Contains(policy, "script-src 'self' 'wasm-unsafe-eval';") || strings.Contains(policy, "unsafe-inline") || strings.Contains(policy, "'unsafe-eval'") {
		t.Error(a.status, policy)
	}
	if strings.Contains(policy, "default-src 'none'") == false || a.header.Get("Cache-Control") != "no-store" {
		t.Error(a.header)
	}
	body := html.UnescapeString(a.body)
	if !strings.Contains(body, `"call":"Q1ABC"`) || !strings.Contains(body, `"names":["0.wav","1.wav"]`) || strings.Contains(body, testCode) || strings.Contains(body, "heron42") {
		t.Error("the page tells too little, or the code:", body)
	}
	if got := len(scripts.FindAllString(a.body, -1)); got != 3 || strings.Count(a.body, "<script") != 3 {
		t.Errorf("%d scripts with an address of %d", got, strings.Count(a.body, "<script"))
	}
	for name, f := range d.files {
		plainly := n.do("GET", "/desk/"+name, nil, "Accept-Encoding", "identity")
		if plainly.status != 200 || plainly.header.Get("Cache-Control") != "public, max-age=31536000, immutable" || plainly.header.Get("Content-Type") != f.kind || int64(len(plainly.body)) != f.size {
			t.Error(name, plainly.status, plainly.header, len(plainly.body))
		}
		if f.zipped {
			packed := n.do("GET", "/desk/"+name, nil, "Accept-Encoding", "br, gzip;q=0.5")
			if packed.header.Get("Content-Encoding") != "gzip" || packed.header.Get("Vary") != "Accept-Encoding" || packed.body != string(f.body) {
				t.Error(name, packed.header)
			}
		}
	}
	if a := n.do("GET", "/desk/"+strings.Replace(d.program.name, "desk-", "desk-0", 1), nil); a.status != 404 || a.header.Get("Cache-Control") != "no-store" {
		t.Error("a name that is not there:", a.status, a.header)
	}
}

// A folder of voices is packed to the same bytes each time, and holds the voices.
func TestParcels(t *testing.T) {
	one, names, err := parcelOf(assets.FS, "voices/alder")
	two, _, err2 := parcelOf(assets.FS, "voices/alder")
	if err != nil || err2 != nil || !bytes.Equal(one, two) {
		t.Fatal("not the same bytes twice", err, err2)
	}
	z, err := zip.NewReader(bytes.NewReader(one), int64(len(one)))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		f, err := z.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		got, err := io.ReadAll(f)
		want, _ := assets.FS.ReadFile("voices/alder/" + name)
		if err != nil || !bytes.Equal(got, want) {
			t.Error(name, err)
		}
	}
	if len(names) < 50 {
		t.Errorf("only %d voices", len(names))
	}
}
