//go:build !nodesk

package deskwire

import (
	"fmt"
	"sync"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/radio"
)

// How long an address must stand before it is asked, and how long it is asked
// after nobody looks any more. Our choices.
const (
	probeAfter = 600 * time.Millisecond
	probeFor   = 3 * time.Second
)

// radioProbes ask the radios whose addresses a person types, while he looks.
type radioProbes struct {
	mu   sync.Mutex
	list map[string]*radioProbe
}

type radioProbe struct {
	since time.Time
	end   *time.Timer
	radio *radio.Watcher // nil = not asked yet
}

// check says what is wrong with an address, or what its radio says now. It is
// called at every frame.
func (p *radioProbes) check(text string) (says string, ok bool) {
	if text == "" {
		return "", true
	}
	address, err := radio.Address(text)
	if err != nil {
		return err.Error(), false
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	one := p.list[address]
	if one == nil {
		one = &radioProbe{since: time.Now(), end: time.AfterFunc(probeFor, func() { p.forget(address) })}
		if p.list == nil {
			p.list = map[string]*radioProbe{}
		}
		p.list[address] = one
	}
	one.end.Reset(probeFor)
	if one.radio == nil && time.Since(one.since) > probeAfter {
		one.radio = radio.Watch(address)
	}
	if one.radio == nil {
		return "asking it", true
	}
	return probed(one.radio.State())
}

// radioAddress says why a text is no address of a radio; "" = it is one, or empty.
func radioAddress(text string) string {
	if text == "" {
		return ""
	}
	if _, err := radio.Address(text); err != nil {
		return err.Error()
	}
	return ""
}

// probed says how a radio is.
func probed(s radio.State) (says string, ok bool) {
	switch {
	case s.Trouble != nil:
		return s.Trouble.Error(), false
	case !s.Connected:
		return "asking it", true
	}
	says = fmt.Sprintf("it is read: %.3f MHz %s", float64(s.Hz)/1e6, s.Mode.Name)
	if s.Name != "" {
		says = kit.UpperStart(s.Name) + ", " + says
	}
	return says, true
}

// forget ends the asking of an address.
func (p *radioProbes) forget(address string) {
	p.mu.Lock()
	one := p.list[address]
	delete(p.list, address)
	p.mu.Unlock()
	if one != nil && one.radio != nil {
		one.radio.Close()
	}
}
