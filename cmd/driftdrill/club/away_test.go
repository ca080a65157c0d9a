package club

import (
	"net"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"driftdrill/testdata/race"

	"github.com/chromedp/chromedp"
)

// A wall whose server is silent says so, and follows the evening again once the
// server is back. A member who has opened the list of classes does not miss that
// a heat is opened.
func TestPagesSayThatTheServerIsSilent(t *testing.T) {
	if race.On {
		t.Skip("nothing of it runs side by side; the race detector sees other tests in browsers")
	}
	ctx := browser(t)
	n := newNight(t, nightText)
	srv := &silenced{at: freeAddress(t), handler: n.Server}
	srv.start(t)
	t.Cleanup(srv.stop)
	base := "http://" + srv.at
	if err := n.evening.join(ctx, "Q1ABC", "no aids"); err != nil {
		t.Fatal(err)
	}
	steps(t, ctx, size(1920, 1080), chromedp.Navigate(base+"/wall"), chromedp.WaitVisible(".hill"), chromedp.Sleep(1500*time.Millisecond), chromedp.WaitNotPresent(".away"))
	srv.stop()
	if err := n.evening.openHeat(1); err != nil {
		t.Fatal(err)
	}
	var says string
	steps(t, ctx, chromedp.Poll(`document.querySelector(".away")?.textContent`, &says))
	if !strings.Contains(says, "has not answered for") {
		t.Errorf("%q", says)
	}
	picture(t, ctx, "wall-silent")
	srv.start(t)
	steps(t, ctx, chromedp.Poll(`!document.querySelector(".away") && document.querySelector('[data-page="air"]')`, nil))

	n.close(1)
	steps(t, ctx, size(390, 844), n.signIn(n.asMember("Q2DEF", "no aids")), chromedp.Navigate(n.web.URL+"/"), chromedp.WaitVisible("main select", chromedp.ByQuery),
		chromedp.SetValue("main select", "all aids", chromedp.ByQuery), chromedp.Focus("main select", chromedp.ByQuery), chromedp.Sleep(300*time.Millisecond))
	if err := n.evening.openHeat(2); err != nil {
		t.Fatal(err)
	}
	var class string
	steps(t, ctx, chromedp.Poll(`document.querySelector("h2").textContent.includes("is open")`, nil), chromedp.Value("main select", &class, chromedp.ByQuery))
	if class != "all aids" {
		t.Errorf("what he chose has become %q", class)
	}
}

// silenced is a server that can be stopped and started again at its address.
type silenced struct {
	at      string
	handler http.Handler
	web     *http.Server
}

func (s *silenced) start(t *testing.T) {
	t.Helper()
	l, err := net.Listen("tcp", s.at)
	if err != nil {
		t.Fatal(err)
	}
	s.web = &http.Server{Handler: s.handler, ReadHeaderTimeout: time.Minute}
	go s.web.Serve(l)
}

func (s *silenced) stop() { s.web.Close() }

// A call that has joined already is not taken over without a word: two members
// with one call would share its tries.
func TestASecondWithTheSameCallIsTold(t *testing.T) {
	n := newNight(t, nightText)
	n.asMember("Q1ABC", "no aids")
	form := url.Values{"code": {testCode}, "call": {"q1abc"}, "class": {"no aids"}}
	join := func() answer {
		return n.do("POST", "/join", strings.NewReader(form.Encode()), "Content-Type", "application/x-www-form-urlencoded")
	}
	a := join()
	if a.status != 409 || !strings.Contains(a.body, "Q1ABC has joined already") || len(a.header["Set-Cookie"]) > 0 {
		t.Errorf("%d, %v: %s", a.status, a.header["Set-Cookie"], a.body)
	}
	form.Set("again", "Q2DEF") // said of another call
	if a := join(); a.status != 409 {
		t.Error(a.status)
	}
	form.Set("again", "Q1ABC")
	if a := join(); a.status != 303 || len(a.header["Set-Cookie"]) == 0 {
		t.Error(a.status, a.body)
	}
}

// An address that no other machine reaches is not given out to the room.
func TestTheInvitationSaysWhoReachesIt(t *testing.T) {
	for address, alone := range map[string]bool{"http://127.0.0.1:8437": true, "http://[::1]:8437": true, "http://localhost:8437": true, "http://192.0.2.7:8437": false, "http://[2001:db8::7]:8437": false} {
		n := newNight(t, nightText)
		n.Server.cfg.Address = address
		wall := n.do("GET", "/wall", nil, "Cookie", n.asTrainer()).body
		if got := strings.Contains(wall, "No other machine reaches it: start the server with --addr 0.0.0.0:8437"); got != alone || strings.Contains(wall, `class="qr"`) == alone {
			t.Errorf("%s: alone %v, wanted %v", address, got, alone)
		}
	}
}
