// Package logbook is the page of what was flown: the runs, and the skill over time.
package logbook
