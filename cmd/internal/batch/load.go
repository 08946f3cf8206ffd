package batch

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"path/filepath"

	"github.com/vanwright/vanwright/data"
)

// Settings are what a yard is worked on by.
type Settings struct {
	Policy  data.Policy
	AsOf    data.Date
	Workers int    // 1 or more
	File    string // the settings file that was read; blank for none
	Text    []byte // what it held
	Unsold  bool   // of the condition and the papers only those of vans not sold are read
}

// Load reads a yard with the settings in force, and counts the settings file
// among its inputs. named is the yard as the user knows it, for messages.
func Load(ctx context.Context, yard fs.FS, named string, s Settings) (*data.Yard, error) {
	y, err := data.Load(ctx, yard, data.LoadOptions{AsOf: s.AsOf, Workers: s.Workers, MaxRejects: s.Policy.MaxRejects, Unsold: s.Unsold})
	if err != nil {
		return nil, fmt.Errorf("read the yard %s: %w", named, err)
	}
	if s.File != "" {
		y.Inputs = append(y.Inputs, data.InputFile{
			Name: filepath.Base(s.File), Size: int64(len(s.Text)), SHA256: fmt.Sprintf("%x", sha256.Sum256(s.Text)),
		})
	}
	return y, nil
}
