package logbook

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// Keep writes a sheet into the first of the folders that takes it, for when
// the logbook cannot be written, and returns where. The name gets a number
// where it is taken.
func Keep(sheet []byte, name string, folders ...string) (string, error) {
	var all []error
	for _, folder := range folders {
		path, err := keepIn(folder, name, sheet)
		if err == nil {
			return path, nil
		}
		all = append(all, err)
	}
	return "", fmt.Errorf("the sheet could not be kept anywhere: %w", errors.Join(all...))
}

func keepIn(folder, name string, sheet []byte) (string, error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	ext := filepath.Ext(name)
	stem := name[:len(name)-len(ext)]
	for n := 1; n < 1000; n++ {
		path := filepath.Join(folder, name)
		if n > 1 {
			path = filepath.Join(folder, fmt.Sprintf("%s-%d%s", stem, n, ext))
		}
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, os.ErrExist) {
			continue
		}
		if err != nil {
			return "", err
		}
		_, err = f.Write(sheet)
		if err == nil {
			err = f.Sync()
		}
		if cerr := f.Close(); err == nil {
			err = cerr
		}
		if err != nil {
			os.Remove(path)
			return "", err
		}
		return path, nil
	}
	return "", fmt.Errorf("%s: a thousand sheets of this name", filepath.Join(folder, name))
}
