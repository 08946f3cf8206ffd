package night

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
	Workers int    // 0 or less: one for each processor
	File    string // the settings file that was read; blank for none
	Text    []byte // what it held

	Admitted func() // as in data.LoadOptions
}

// Load reads a yard with the settings in force, and counts the settings file
// among its inputs. named is the yard as the user knows it, for messages.
func Load(ctx context.Context, yard fs.FS, named string, s Settings) (*data.Yard, error) {
	return load(ctx, yard, named, s, data.LoadOptions{})
}

func load(ctx context.Context, yard fs.FS, named string, s Settings, o data.LoadOptions) (*data.Yard, error) {
	o.AsOf, o.Workers, o.MaxRejects, o.Admitted = s.AsOf, s.Workers, s.Policy.MaxRejects, s.Admitted
	y, err := data.Load(ctx, yard, o)
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
