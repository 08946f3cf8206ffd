package survival

// FitWeibull fits a sample of its own in one go.
func FitWeibull(times []float64, events []bool, x [][]float64, names []string, priors ...Prior) (*AFT, error) {
	s, err := NewSample(times, events, x, names)
	if err != nil {
		return nil, err
	}
	return s.Fit(nil, priors...)
}
