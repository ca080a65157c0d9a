//go:build !windows

package outfile

import (
	"path/filepath"

	"github.com/google/renameio/v2"
)

type pendingSpare struct{ *renameio.PendingFile }

func (p pendingSpare) replace() error { return p.CloseAtomicallyReplace() }
func (p pendingSpare) discard() error { return p.Cleanup() }

// newSpare begins a file beside its place: a rename within one folder is whole.
func newSpare(place string) (spare, error) {
	f, err := renameio.NewPendingFile(place, renameio.WithTempDir(filepath.Dir(place)),
		renameio.WithPermissions(newFileMode), renameio.WithExistingPermissions())
	if err != nil {
		return nil, err
	}
	return pendingSpare{f}, nil
}
