//go:build !nodesk

package desk

import (
	"flag"
	"fmt"
	"os"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
)

func TestMain(m *testing.M) {
	flag.Parse()
	if os.Getenv("DESK_SHOW") != "" {
		time.Local = time.UTC
		os.Exit(show())
	}
	kittest.Main(m)
}

// show opens the real window on a made-up pass, to be looked at.
func show() int {
	cfg := desktest.Config()
	if f := frameLogFromEnv(); f != nil {
		cfg.FrameLog = f
	}
	_, _ = fmt.Sscanf(os.Getenv("DESK_SIZE"), "%dx%d", &cfg.Width, &cfg.Height)
	cfg.First = &port.RunRequest{}
	if err := Run(cfg); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

func frameLogFromEnv() *os.File {
	name := os.Getenv("DESK_FRAMES")
	if name == "" {
		return nil
	}
	f, err := os.Create(name)
	if err != nil {
		panic(err)
	}
	return f
}
