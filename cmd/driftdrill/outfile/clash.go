package outfile

import (
	"fmt"
	"os"
	"path/filepath"
)

// Named is a file with the option or the word by which a person knows it.
type Named struct{ What, Path string }

// Check refuses outputs that would overwrite an input or each other, before
// anything is computed. Files without a path are left out; so are devices and
// pipes, which may be named twice. Inputs that are not there cannot be lost.
func Check(inputs, outputs []Named) error {
	for i, out := range outputs {
		if out.Path == "" {
			continue
		}
		for _, in := range inputs {
			if in.Path != "" && in.Path != Stdout && out.Path != Stdout && same(in.Path, out.Path) {
				return fmt.Errorf("%s and %s are the same file, %s: it would be lost; name another one", in.What, out.What, out.Path)
			}
		}
		for _, other := range outputs[:i] {
			if other.Path != "" && same(other.Path, out.Path) {
				return fmt.Errorf("%s and %s are the same file, %s; name two", other.What, out.What, out.Path)
			}
		}
	}
	return nil
}

// same tells whether two names lead to one regular file, or would once it is there.
func same(a, b string) bool {
	if a == Stdout || b == Stdout {
		return a == b
	}
	x, errX := os.Stat(a)
	y, errY := os.Stat(b)
	if errX == nil && errY == nil {
		return os.SameFile(x, y) && x.Mode().IsRegular()
	}
	if errX == nil || errY == nil {
		return false
	}
	return wholeName(a) == wholeName(b)
}

// wholeName is the one name of a file that is not there.
func wholeName(name string) string {
	if place, err := placeOf(name); err == nil {
		name = place
	}
	if abs, err := filepath.Abs(name); err == nil {
		name = abs
	}
	if folder, err := filepath.EvalSymlinks(filepath.Dir(name)); err == nil {
		name = filepath.Join(folder, filepath.Base(name))
	}
	return name
}
