package radio

import (
	"bufio"
	"fmt"
	"net"
	"os/exec"
	"slices"
	"testing"
	"time"
)

// BenchmarkTurn tells how long a turn of the dummy radio's dial takes until it
// is read: from the moment at which another client asked for it.
func BenchmarkTurn(b *testing.B) {
	for name, options := range map[string][]string{"memory": nil, "no-memory": {"-C", "cache_timeout=0"}} {
		b.Run(name, func(b *testing.B) {
			if _, err := exec.LookPath("rigctld"); err != nil {
				b.Skip("rigctld is not installed")
			}
			address, _ := daemon(b, options...)
			told := make(chan Event, 1000)
			w := Watch(address)
			defer w.Close()
			w.Follow(func(e Event) { told <- e })
			c, err := net.Dial("tcp", address)
			if err != nil {
				b.Fatal(err)
			}
			defer c.Close()
			in := bufio.NewReader(c)
			var took []time.Duration
			hz := int64(145_000_000)
			for b.Loop() {
				hz += 10
				began := time.Now()
				fmt.Fprintf(c, "F %d\n", hz)
				for e := range told {
					if e.Hz == hz {
						break
					}
				}
				took = append(took, time.Since(began))
				_, _ = in.ReadString('\n')
				time.Sleep(time.Duration(len(took)*7%40) * time.Millisecond) // anywhere between two readings
			}
			slices.Sort(took)
			b.ReportMetric(took[len(took)/2].Seconds()*1000, "median-ms")
			b.ReportMetric(took[len(took)-1].Seconds()*1000, "worst-ms")
		})
	}
}
