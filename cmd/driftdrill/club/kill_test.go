package club

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"
)

var kills = flag.Int("kills", 4, "how often the server is killed in TestAKilledServerLosesNothing")

// Environment of the server that is killed: a program of its own.
const (
	killedData = "DRIFTDRILL_TEST_NIGHT_DATA"
	killedAddr = "DRIFTDRILL_TEST_NIGHT_ADDR"
)

// TestMain is the server that is killed where its folder is given.
func TestMain(m *testing.M) {
	if data := os.Getenv(killedData); data != "" {
		if err := serveToBeKilled(data, os.Getenv(killedAddr)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

func serveToBeKilled(data, addr string) error {
	n, err := ParseNight([]byte(killedNight), "night.toml")
	if err != nil {
		return err
	}
	fly, drill, err := flierOf(testDrill)
	if err != nil {
		return err
	}
	s, err := New(Config{Night: n, Fly: fly, StepFree: drill.StepFree, Data: data, Code: testCode, Trainer: testTrainer, Address: "http://" + addr})
	if err != nil {
		return err
	}
	if s.evening.current() == nil {
		if err := s.evening.openHeat(1); err != nil {
			return err
		}
		s.evening.rounds[0].opened = time.Now().Add(-24 * time.Hour).UTC() // the runs have been flown meanwhile
		if err := s.evening.book.setHeat(1, s.evening.rounds[0].opened, time.Time{}); err != nil {
			return err
		}
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return err
	}
	return s.Serve(context.Background(), l)
}

const killedNight = `name = "A night with power cuts"
drill = "test-hold"
seed = 7
tries = 9
`

// The server is killed in the middle of a heat, again and again, while sheets
// come in: every sheet that was answered with 201 is in the night book after it.
func TestAKilledServerLosesNothing(t *testing.T) {
	data := t.TempDir()
	addr := freeAddress(t)
	n := newNight(t, nightText)
	setup := n.setup(1, "no aids")
	const senders = 4
	var mu sync.Mutex
	taken := map[string][]byte{} // by call: what was answered with 201
	next := uint64(0)
	fresh := func() (string, []byte) {
		mu.Lock()
		next++
		i := next
		mu.Unlock()
		return fmt.Sprintf("Q%dK", i), sheetOf(t, setup, "regular", 1000+i)
	}
	for k := range *kills {
		stop := startKilled(t, data, addr)
		ctx, cancel := context.WithCancel(context.Background())
		var going sync.WaitGroup
		for range senders {
			going.Go(func() {
				for ctx.Err() == nil {
					call, sheet := fresh()
					if status := post(ctx, addr, call, sheet); status == http.StatusCreated {
						mu.Lock()
						taken[call] = sheet
						mu.Unlock()
					}
				}
			})
		}
		waitFor(t, func() bool { mu.Lock(); defer mu.Unlock(); return len(taken) >= 5*(k+1) })
		stop()
		cancel()
		going.Wait()
	}
	b, err := openBook(data, "A night with power cuts", []byte(nightText), time.Now())
	if err != nil {
		t.Fatal(err)
	}
	defer b.close()
	found := map[string]int{}
	rows, err := b.db.Query("SELECT call, id, night FROM sheets")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var call string
		var id int64
		if err := rows.Scan(&call, &id, &b.night); err != nil {
			t.Fatal(err)
		}
		body, err := b.sheet(context.Background(), id)
		if err != nil {
			t.Fatal(err)
		}
		if want, was := taken[call]; was && !bytes.Equal(body, want) {
			t.Errorf("%s: another sheet", call)
		}
		found[call]++
	}
	for call := range taken {
		if found[call] != 1 {
			t.Errorf("%s was taken and is there %d times", call, found[call])
		}
	}
	var check string
	if err := b.db.QueryRow("PRAGMA integrity_check").Scan(&check); err != nil || check != "ok" {
		t.Errorf("the book: %s %v", check, err)
	}
	t.Logf("%d kills, %d sheets taken, %d in the book", *kills, len(taken), len(found))
}

func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// startKilled starts the server as a program of its own and returns what kills it.
func startKilled(t *testing.T, data, addr string) (kill func()) {
	t.Helper()
	cmd := exec.Command(os.Args[0], "-test.run=^$")
	cmd.Env = append(os.Environ(), killedData+"="+data, killedAddr+"="+addr)
	var said bytes.Buffer
	cmd.Stderr = &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	waitFor(t, func() bool {
		c, err := net.Dial("tcp", addr)
		if err == nil {
			err = c.Close()
		}
		return err == nil
	})
	return func() {
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err, said.String())
		}
		_ = cmd.Wait() // killed, as it should be
	}
}

// post sends a sheet; 0 where nobody answered.
func post(ctx context.Context, addr, call string, sheet []byte) int {
	r, err := http.NewRequestWithContext(ctx, "POST", "http://"+addr+"/sheets?call="+call, bytes.NewReader(sheet))
	if err != nil {
		return 0
	}
	r.Header.Set(codeHeader, testCode)
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		return 0
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil && !errors.Is(err, io.EOF) || !strings.HasSuffix(string(text), "}\n") {
		return 0 // the answer did not come whole: nobody was told that it was taken
	}
	return res.StatusCode
}
