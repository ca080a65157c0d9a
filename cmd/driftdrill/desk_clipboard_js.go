//go:build !nodesk && js

package main

import "errors"

// systemClipboard stands in where a page's clipboard asks its user first.
type systemClipboard struct{}

var errNoClipboard = errors.New("the system keeps no text for others here")

// Text implements desk.Clipboard.
func (*systemClipboard) Text() (string, error) { return "", errNoClipboard }

// SetText implements desk.Clipboard.
func (*systemClipboard) SetText(string) error { return errNoClipboard }
