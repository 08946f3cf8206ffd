package data

// Opt is a value that a table may leave blank. Blank means unknown, which is
// never the same as zero.
type Opt[T any] struct {
	Value T
	Known bool
}

// Some returns a known value.
func Some[T any](v T) Opt[T] { return Opt[T]{Value: v, Known: true} }

// Or returns the value, or fallback where it is unknown.
func (o Opt[T]) Or(fallback T) T {
	if o.Known {
		return o.Value
	}
	return fallback
}
