// Package member is a club night as a member's program sees it: what to fly,
// and where its sheet goes. It knows nothing of the server but its requests.
package member

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"time"

	"driftdrill/sim"
)

// codeHeader carries the join code.
const codeHeader = "X-Join-Code"

// Statuses of an answer that are told apart (RFC 9110; RFC 6585).
const (
	statusOK      = 200
	statusCreated = 201
	statusTooMany = 429
)

// Bounds of an answer and of waiting for one: our choices.
const (
	maxAnswer = 8 << 20
	patience  = 20 * time.Second
	sendTries = 4
)

// Member flies a club night.
type Member struct {
	base        url.URL
	code        string
	Call, Class string // Class "" = the one that he has joined in, or the night's first
	wait        time.Duration
	tries       int // of sending a sheet
}

// Refused is why a club night does not take a sheet: to send it again does not help.
type Refused struct{ Reason string }

// Error implements error.
func (r *Refused) Error() string { return "not taken by the club night: " + r.Reason }

// Why is the reason, a sentence without its full stop.
func (r *Refused) Why() string { return r.Reason }

// Join reads the address that the wall shows, with its code: "http://192.0.2.7:8437/?code=heron42".
func Join(address, call, class string) (*Member, error) {
	if !strings.Contains(address, "://") {
		address = "http://" + address
	}
	u, err := url.Parse(address)
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return nil, fmt.Errorf("%q is no address of a club night; it looks like http://192.0.2.7:8437/?code=heron42", address)
	}
	m := &Member{base: url.URL{Scheme: u.Scheme, Host: u.Host}, code: u.Query().Get("code"), Call: strings.ToUpper(strings.TrimSpace(call)), Class: class, wait: time.Second, tries: sendTries}
	switch {
	case m.code == "":
		return nil, errors.New("the code is missing: put ?code= and the code on the wall after the address")
	case m.Call == "":
		return nil, errors.New("a club night needs a call: give --call")
	}
	return m, nil
}

// said turns an answer that is no good one into an error.
func said(status int, text []byte) error {
	var no struct {
		Reason string `json:"reason"`
	}
	if json.Unmarshal(text, &no) == nil && no.Reason != "" {
		return errors.New(strings.TrimSuffix(no.Reason, "."))
	}
	line, _, _ := strings.Cut(strings.TrimSpace(string(text)), "\n")
	if line == "" || len(line) > 200 {
		line = fmt.Sprintf("the club night answers with status %d", status)
	}
	return errors.New(strings.TrimSuffix(line, "."))
}

// errNoHeat is told while there is nothing to fly; the member has joined by then.
var errNoHeat = errors.New("no heat is open: wait for the trainer, then start again")

// Wait returns when a heat is open; say is told once that it is waited for. It
// ends with the first error that is another one: a wrong code, tries that are flown.
func (m *Member) Wait(ctx context.Context, say func(string)) error {
	for told := false; ; told = true {
		_, err := m.Begin(ctx)
		if !errors.Is(err, errNoHeat) {
			return err
		}
		if !told {
			say("no heat is open yet; the desk opens when the trainer opens one")
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(m.wait):
		}
	}
}

// Begin asks what is flown now; the wall shows the member in the air from then on.
func (m *Member) Begin(ctx context.Context) (sim.Setup, error) {
	q := url.Values{"call": {m.Call}}
	if m.Class != "" {
		q.Set("class", m.Class)
	}
	status, text, err := m.ask(ctx, "GET", "/night", q, nil)
	if err != nil {
		return sim.Setup{}, err
	}
	if status != statusOK {
		return sim.Setup{}, said(status, text)
	}
	var night struct {
		Heat *struct {
			StepFree bool       `json:"step_free"`
			Setup    *sim.Setup `json:"setup"`
		} `json:"heat"`
	}
	if err := json.Unmarshal(text, &night); err != nil {
		return sim.Setup{}, fmt.Errorf("%s is no club night: %w", m.base.Host, err)
	}
	if night.Heat == nil || night.Heat.Setup == nil {
		return sim.Setup{}, errNoHeat
	}
	s := *night.Heat.Setup
	s.Drill.StepFree = night.Heat.StepFree
	return s, s.Validate()
}

// Send sends a sheet, again where nobody answers, and returns what to say of
// it. What is not taken is an error of type Refused, and not tried again.
func (m *Member) Send(ctx context.Context, sheet []byte) (string, error) {
	var err error
	for try := range m.tries {
		if try > 0 {
			select {
			case <-ctx.Done():
				return "", ctx.Err()
			case <-time.After(m.wait << try):
			}
		}
		var status int
		var text []byte
		if status, text, err = m.ask(ctx, "POST", "/sheets", url.Values{"call": {m.Call}}, sheet); err != nil {
			continue
		}
		switch {
		case status == statusCreated:
			return "sent to the club night", nil
		case status < 500 && status != statusTooMany:
			return "", &Refused{said(status, text).Error()}
		}
		err = said(status, text)
	}
	return "", fmt.Errorf("not sent: %w", err)
}
