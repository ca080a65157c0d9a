// Command browser is the desk in a browser: the same screens, physics, sound and
// marks, as WebAssembly. The page that starts it (club/pages/desk.html) tells it
// whose desk it is; what is flown is kept in the browser (trainer/shelf), and on
// a club night the sheet goes to the server that the page came from.
//
// It uses nothing that a browser keeps from pages over plain HTTP: no
// microphone, no shared memory, no clipboard.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"syscall/js"
	"time"

	"driftdrill/assets"
	"driftdrill/assets/licences"
	"driftdrill/audio"
	"driftdrill/audio/out"
	"driftdrill/cmd/driftdrill/club/member"
	"driftdrill/cmd/driftdrill/deskwire"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/cmd/driftdrill/trainer/shelf"
	"driftdrill/orbit"
)

// page is what the page says at the start.
type page struct {
	Program string            `json:"program"` // name and version
	Page    string            `json:"page"`    // tells apart the pages of one browser
	Call    string            `json:"call"`    // of a club night; "" = none is flown for
	Sounds  map[string]parcel `json:"sounds"`
}

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "driftdrill:", err)
		js.Global().Get("driftdrill").Call("stopped", err.Error())
	}
}

func run() error {
	var p page
	if err := json.Unmarshal([]byte(js.Global().Get("driftdrill").Get("page").String()), &p); err != nil {
		return fmt.Errorf("the page: %w", err)
	}
	assets.Sounds = &sounds{parcels: p.Sounds}
	store, outbox := openStore(p.Page)
	c := deskwire.Config{Program: p.Program, Stderr: os.Stderr, Store: store, Hardware: hardware{}, Licences: licences.Text,
		Built:        [][2]string{{"driftdrill", p.Program}, {"built", fmt.Sprintf("with %s for a browser, no microphone", runtime.Version())}},
		ReadElements: readElements}
	if p.Call != "" {
		m, err := member.Here(p.Call)
		if err != nil {
			return err
		}
		c.First = &deskwire.First{Flight: trainer.Flight{Drill: trainer.FirstDrill, Program: p.Program}, Night: &sender{m, outbox}, QuitAtEnd: upright()}
	}
	return deskwire.Run(c)
}

// upright tells that the page is a telephone's that is held upright: the desk is
// laid out for flying on it, and what comes after the run is the member's page.
func upright() bool {
	w := js.Global()
	wide, high := w.Get("innerWidth").Int(), w.Get("innerHeight").Int()
	return wide < 600 && wide < high
}

// openStore opens the browser's box, or where there is none one that forgets
// everything when the page is closed.
// The outbox is nil then.
func openStore(name string) (trainer.Store, *shelf.Outbox) {
	box, err := shelf.OpenIndexedDB("driftdrill")
	if err != nil {
		fmt.Fprintln(os.Stderr, "driftdrill:", err)
		return shelf.New(&shelf.Memory{}, name, time.Now), nil
	}
	return shelf.New(box, name, time.Now), shelf.NewOutbox(box, time.Now)
}

// readElements tells that a page fetches nothing from elsewhere.
func readElements(context.Context, string) ([]orbit.Elements, []orbit.Problem, error) {
	return nil, nil, errors.New("in a browser elements are those that the program brings")
}

// hardware is the browser's sound.
type hardware struct{}

func options(bufferMS int) out.Options {
	return out.Options{Device: time.Duration(bufferMS) * time.Millisecond}
}

// Wanted implements deskwire.Hardware.
func (hardware) Wanted() bool { return true }

// Run implements deskwire.Hardware.
func (hardware) Run(bufferMS int) trainer.Output { return out.NewSteady(options(bufferMS)) }

// Sound implements deskwire.Hardware.
func (hardware) Sound(bufferMS int) audio.Sink { return out.NewDevice(options(bufferMS)) }

// noMicrophone is why there is none.
const noMicrophone = "a browser gives no microphone to pages over plain HTTP"

// Microphone implements deskwire.Hardware.
func (hardware) Microphone(*audio.Microphone) (io.Closer, error) {
	return nil, errors.New(noMicrophone)
}

// NoMicrophone implements deskwire.Hardware.
func (hardware) NoMicrophone() string { return noMicrophone }
