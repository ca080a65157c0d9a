//go:build !nodesk && !js

package deskwire

import (
	"sync"

	"golang.design/x/clipboard"
)

// systemClipboard is the clipboard of the system, reached for the first time
// when somebody copies or pastes.
type systemClipboard struct {
	once sync.Once
	err  error
}

func (c *systemClipboard) reach() error {
	c.once.Do(func() {
		if clipboard.Init() != nil {
			c.err = errNoClipboard
		}
	})
	return c.err
}

// Text implements kit.Clipboard.
func (c *systemClipboard) Text() (string, error) {
	if err := c.reach(); err != nil {
		return "", err
	}
	return string(clipboard.Read(clipboard.FmtText)), nil
}

// SetText implements kit.Clipboard.
func (c *systemClipboard) SetText(text string) error {
	if err := c.reach(); err != nil {
		return err
	}
	clipboard.Write(clipboard.FmtText, []byte(text))
	return nil
}
