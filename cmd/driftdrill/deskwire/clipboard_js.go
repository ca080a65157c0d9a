//go:build !nodesk && js

package deskwire

// systemClipboard stands in where a page's clipboard asks its user first.
type systemClipboard struct{}

// Text implements kit.Clipboard.
func (*systemClipboard) Text() (string, error) { return "", errNoClipboard }

// SetText implements kit.Clipboard.
func (*systemClipboard) SetText(string) error { return errNoClipboard }
