package club

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"sync"

	"driftdrill/assets"
)

// deskFiles are the desk for browsers, where the build has it: see desk/README.md.
//
//go:embed desk
var deskFiles embed.FS

// deskPolicy is contentPolicy for the one kind of page that runs WebAssembly.
var deskPolicy = strings.Replace(contentPolicy, "script-src 'self'", "script-src 'self' 'wasm-unsafe-eval'", 1)

// hashed is a file that is served under a name with its own hash in it, so that
// a browser keeps it for good.
type hashed struct {
	name, kind string
	body       []byte // as it is stored
	zipped     bool   // body is compressed by gzip
	size       int64  // uncompressed
}

// deskEdition is the desk for browsers, ready to be served.
type deskEdition struct {
	program, runner *hashed // WebAssembly; what Go needs in a page
	sounds          map[string]soundParcel
	files           map[string]*hashed // by name
}

// soundParcel is a folder of recorded voices, as the page is told of it.
type soundParcel struct {
	URL   string   `json:"url"`
	Names []string `json:"names"`
}

// loadDesk prepares the desk once; nil where this build has none.
var loadDesk = sync.OnceValues(func() (*deskEdition, error) {
	program, err := deskFiles.ReadFile("desk/desk.wasm.gz")
	if err != nil {
		return nil, nil // as desk/README.md says
	}
	runner, err := deskFiles.ReadFile("desk/wasm_exec.js")
	if err != nil {
		return nil, nil
	}
	return newDesk(program, runner, assets.FS)
})

// newDesk prepares a desk of the compressed program, of what runs it, and of
// the voices in a file system.
func newDesk(program, runner []byte, from fs.FS) (*deskEdition, error) {
	d := &deskEdition{sounds: map[string]soundParcel{}, files: map[string]*hashed{}}
	unpacked, err := gzip.NewReader(bytes.NewReader(program))
	if err != nil {
		return nil, fmt.Errorf("the desk for browsers: %w", err)
	}
	size, err := io.Copy(io.Discard, unpacked)
	if err != nil {
		return nil, fmt.Errorf("the desk for browsers: %w", err)
	}
	d.program = d.add("desk", ".wasm", "application/wasm", program, true, size)
	d.runner = d.add("run", ".js", "text/javascript; charset=utf-8", runner, false, int64(len(runner)))
	folders, err := fs.ReadDir(from, "voices")
	if err != nil {
		return nil, err
	}
	for _, f := range folders {
		if !f.IsDir() {
			continue
		}
		body, names, err := parcelOf(from, path.Join("voices", f.Name()))
		if err != nil {
			return nil, err
		}
		h := d.add(f.Name(), ".zip", "application/zip", body, false, int64(len(body)))
		d.sounds[f.Name()] = soundParcel{"/desk/" + h.name, names}
	}
	return d, nil
}

// parcelOf packs a folder; the same files give the same bytes.
func parcelOf(from fs.FS, folder string) (body []byte, names []string, err error) {
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	files, err := fs.ReadDir(from, folder)
	if err != nil {
		return nil, nil, err
	}
	for _, f := range files {
		data, err := fs.ReadFile(from, path.Join(folder, f.Name()))
		if err != nil {
			return nil, nil, err
		}
		w, err := z.Create(f.Name())
		if err != nil {
			return nil, nil, err
		}
		if _, err := w.Write(data); err != nil {
			return nil, nil, err
		}
		names = append(names, f.Name())
	}
	err = z.Close() // before the bytes are taken: it writes what they end with
	return out.Bytes(), names, err
}

// add takes a file up under its hashed name.
func (d *deskEdition) add(stem, ext, kind string, body []byte, zipped bool, size int64) *hashed {
	sum := sha256.Sum256(body)
	h := &hashed{name: stem + "-" + hex.EncodeToString(sum[:10]) + ext, kind: kind, body: body, zipped: zipped, size: size}
	d.files[h.name] = h
	return h
}

// deskView is the page that runs the desk.
type deskView struct {
	Name, Call      string
	Program, Runner string // where they lie
	Size            int64  // of the program, uncompressed
	Told            string // what the desk is told, JSON
	Problem         string // why it does not run here; "" = it does
}

// flyPage runs the desk for a member: straight into the night's run.
func (s *Server) flyPage(w http.ResponseWriter, r *http.Request) {
	asks, _ := s.ask(r)
	if asks.call == "" {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return
	}
	s.deskPage(w, asks.call)
}

// practicePage runs the whole desk, for nobody's heat.
func (s *Server) practicePage(w http.ResponseWriter, _ *http.Request) { s.deskPage(w, "") }

func (s *Server) deskPage(w http.ResponseWriter, call string) {
	v := deskView{Name: s.cfg.Night.Name, Call: call}
	d, err := s.desk()
	if err != nil || d == nil {
		v.Problem = noDesk
		s.page(w, http.StatusNotFound, "desk", v)
		return
	}
	told, err := json.Marshal(struct {
		Program string                 `json:"program"`
		Call    string                 `json:"call"`
		Sounds  map[string]soundParcel `json:"sounds"`
	}{s.cfg.Program, call, d.sounds})
	if err != nil {
		plain(w, http.StatusInternalServerError, "This page cannot be made.")
		return
	}
	v.Program, v.Runner, v.Size, v.Told = "/desk/"+d.program.name, "/desk/"+d.runner.name, d.program.size, string(told)
	w.Header().Set("Content-Security-Policy", deskPolicy)
	s.page(w, http.StatusOK, "desk", v)
}

// noDesk is told where the build has no desk for browsers.
const noDesk = "This server was built without the desk for browsers: `make browser` builds a program that has it."

// deskFile serves a file under its hashed name, to be kept for good.
func (s *Server) deskFile(w http.ResponseWriter, r *http.Request) {
	d, err := s.desk()
	if err != nil || d == nil {
		plain(w, http.StatusNotFound, noDesk)
		return
	}
	f := d.files[r.PathValue("name")]
	if f == nil {
		plain(w, http.StatusNotFound, "There is no such file: load the page again.")
		return
	}
	h := w.Header()
	h.Set("Content-Type", f.kind)
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	if !f.zipped {
		_, _ = w.Write(f.body) // who has gone needs no answer
		return
	}
	h.Set("Vary", "Accept-Encoding")
	if acceptsGzip(r) {
		h.Set("Content-Encoding", "gzip")
		_, _ = w.Write(f.body)
		return
	}
	if z, err := gzip.NewReader(bytes.NewReader(f.body)); err == nil {
		_, _ = io.Copy(w, z)
	}
}

// acceptsGzip says whether a client takes gzip: all browsers do.
func acceptsGzip(r *http.Request) bool {
	for _, one := range strings.Split(r.Header.Get("Accept-Encoding"), ",") {
		name, q, _ := strings.Cut(strings.TrimSpace(one), ";")
		if q = strings.ReplaceAll(q, " ", ""); name == "gzip" && q != "q=0" && q != "q=0.0" {
			return true
		}
	}
	return false
}
