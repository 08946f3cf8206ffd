package serve

import (
	"encoding/json"
	"errors"
	"net/http"
	"time"

	"golang.org/x/time/rate"
)

// What handing in may take: a slip of 32 MB over a weak radio, and what the
// reader then needs. A sender that is slower is cut off.
const (
	slipTime   = 90 * time.Second
	answerTime = slipTime + 60*time.Second

	slipsPerMinute = 30
	slipsAtOnce    = 4 // each is on the disk while it is checked
)

// desk takes slips over HTTP.
type desk struct {
	slips   *Slips
	key     string
	allowed *rate.Limiter
	places  chan struct{}
}

func newDesk(slips *Slips, key string) *desk {
	return &desk{slips, key, rate.NewLimiter(rate.Every(time.Minute/slipsPerMinute), slipsPerMinute), make(chan struct{}, slipsAtOnce)}
}

// reply is the answer that pages read.
type reply struct {
	Kept bool     `json:"kept"`
	Said []string `json:"said"`
}

func (d *desk) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	status, answer := d.handle(w, r)
	if status >= http.StatusBadRequest {
		w.Header().Set("Connection", "close") // what is left of the body is not read
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(answer) // a sender that has gone reads no answer
}

func (d *desk) handle(w http.ResponseWriter, r *http.Request) (int, reply) {
	no := func(status int, said string) (int, reply) { return status, reply{Said: []string{said}} }
	switch {
	case r.Method != http.MethodPost:
		w.Header().Set("Allow", "POST")
		return no(http.StatusMethodNotAllowed, "Slips are handed in, not read, here.")
	case !hasKey(r, d.key):
		return no(http.StatusUnauthorized, "Not handed in: open the link with the key that the yard's computer shows, then try again.")
	case !sameOrigin(r):
		return no(http.StatusForbidden, "Not handed in: this page did not come from the yard's computer.")
	case r.ContentLength > MostSlip:
		return no(http.StatusRequestEntityTooLarge, "Not handed in: the slip is larger than 32 MB.")
	case !d.allowed.Allow():
		w.Header().Set("Retry-After", "60")
		return no(http.StatusTooManyRequests, "Not handed in: too many slips within a minute. Try again in a minute.")
	}
	select {
	case d.places <- struct{}{}:
		defer func() { <-d.places }()
	case <-time.After(slipTime):
		w.Header().Set("Retry-After", "60")
		return no(http.StatusServiceUnavailable, "Not handed in: the yard's computer is busy. Try again in a minute.")
	case <-r.Context().Done():
		return no(http.StatusServiceUnavailable, "Not handed in.")
	}
	times := http.NewResponseController(w)
	// A writer that can't set times, as in tests, has those of the server.
	_ = times.SetReadDeadline(time.Now().Add(slipTime))
	_ = times.SetWriteDeadline(time.Now().Add(answerTime))
	v, err := d.slips.take(r.Context(), http.MaxBytesReader(w, r.Body, MostSlip))
	var tooLarge *http.MaxBytesError
	switch {
	case errors.Is(err, errTooLarge) || errors.As(err, &tooLarge):
		return no(http.StatusRequestEntityTooLarge, "Not handed in: the slip is larger than 32 MB.")
	case err != nil:
		return no(http.StatusInternalServerError, "Not handed in: the yard's computer could not keep it. Tell the office, and keep this page open.")
	case !v.Keep && !v.Had:
		return http.StatusUnprocessableEntity, reply{Said: append([]string{"Not kept."}, v.Said...)}
	}
	return http.StatusOK, reply{Kept: true, Said: append([]string{"Handed in."}, v.Said...)}
}
