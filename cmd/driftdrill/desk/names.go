//go:build !nodesk

package desk

import "driftdrill/cmd/driftdrill/desk/port"

// What the wiring fills and reads is told in package port. It needs this
// package alone.
type (
	About       = port.About
	Aids        = port.Aids
	Band        = port.Band
	BandPoint   = port.BandPoint
	DrillEntry  = port.DrillEntry
	HillPoint   = port.HillPoint
	LadderPoint = port.LadderPoint
	LeftRun     = port.LeftRun
	Levels      = port.Levels
	Logbook     = port.Logbook
	Pages       = port.Pages
	PassEntry   = port.PassEntry
	PassQuery   = port.PassQuery
	Progress    = port.Progress
	Rated       = port.Rated
	Result      = port.Result
	RunEntry    = port.RunEntry
	RunRequest  = port.RunRequest
	Session     = port.Session
	Settings    = port.Settings
	SoundState  = port.SoundState
	Try         = port.Try
)

// Who speaks, in Settings.Voice.
const (
	VoiceSystem  = port.VoiceSystem
	VoiceBundled = port.VoiceBundled
	VoiceService = port.VoiceService
)

// DefaultSettings are the settings of a fresh installation.
func DefaultSettings() Settings { return port.DefaultSettings() }
