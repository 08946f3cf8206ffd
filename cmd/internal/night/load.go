package night

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"path/filepath"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// Settings are what a yard is worked on by.
type Settings struct {
	Policy  data.Policy
	AsOf    data.Date
	Workers int    // 1 or more
	File    string // the settings file that was read; blank for none
	Text    []byte // what it held
}

// Load reads a yard with the settings in force, and counts the settings file
// among its inputs. named is the yard as the user knows it, for messages.
func Load(ctx context.Context, yard fs.FS, named string, s Settings) (*data.Yard, error) {
	return load(ctx, yard, named, s, data.LoadOptions{})
}

// ForBid is what the bid for one van needs of a yard.
type ForBid struct {
	Yard   *data.Yard
	market <-chan *pricing.Market // nil: not begun
}

// BidOptions are those of a yard of which only what a bid needs is read.
func BidOptions(asOf data.Date) data.LoadOptions {
	return data.LoadOptions{Unsold: true, LatestSales: pricing.MostSales, SalesSince: pricing.SalesSince(asOf)}
}

// LoadForBid reads what the bid for one van needs, or all of the yard for whoever
// wants to hear of every bad row. What past sales teach is worked out from the
// moment they are read, while the rest is: a buyer waits.
func LoadForBid(ctx context.Context, yard fs.FS, named string, s Settings, all bool) (ForBid, error) {
	var b ForBid
	var o data.LoadOptions
	if !all {
		o = BidOptions(s.AsOf)
	}
	if s.Workers != 1 {
		o.GotSales = func(sales []data.Sale) {
			market := make(chan *pricing.Market, 1)
			b.market = market
			go func() { market <- pricing.NewMarket(sales, s.AsOf, s.Policy) }()
		}
	}
	var err error
	b.Yard, err = load(ctx, yard, named, s, o)
	return b, err
}

func load(ctx context.Context, yard fs.FS, named string, s Settings, o data.LoadOptions) (*data.Yard, error) {
	o.AsOf, o.Workers, o.MaxRejects = s.AsOf, s.Workers, s.Policy.MaxRejects
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
