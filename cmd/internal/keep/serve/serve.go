// Package serve shows a folder of reports to a browser, and takes slips for a
// yard where it is given one.
//
// In go a folder and a listener; out come its files over HTTP until the context
// ends. It lists no folders, follows no link out of the folder, shows no hidden
// file, and on a loopback listener answers only to loopback names, so that a web
// page from elsewhere cannot read the reports by pointing a name of its own at
// this machine. All that it ever writes is a slip that came with the key and was
// read as a run would read it.
//
//	reports, err := serve.Open("vanwright-demo/reports")
//	…
//	return serve.Run(ctx, listener, serve.Site{Reports: reports})
package serve

import (
	"context"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"time"
)

// How long a reader may take. The largest page is read over a phone's radio, so
// writing gets more time than a loopback needs.
const (
	headerTime = 5 * time.Second
	readTime   = 10 * time.Second
	writeTime  = time.Minute
	idleTime   = time.Minute
	stopTime   = 3 * time.Second
	mostHeader = 16 << 10 // bytes
)

// Run answers on the listener until the context ends, then lets readers finish
// for a few seconds. It closes the listener, and says itself whether that is a
// loopback. The end of the context is no
// error.
func Run(ctx context.Context, l net.Listener, site Site) error {
	site.Loopback = IsLoopback(l.Addr())
	server := &http.Server{
		Handler:           site.Handler(),
		ReadHeaderTimeout: headerTime,
		ReadTimeout:       readTime,
		WriteTimeout:      writeTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    mostHeader,
		ErrorLog:          log.New(io.Discard, "", 0), // broken connections are the reader's affair
	}
	stopped := make(chan error, 1)
	unhook := context.AfterFunc(ctx, func() {
		grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopTime)
		defer cancel()
		err := server.Shutdown(grace)
		if errors.Is(err, context.DeadlineExceeded) {
			err = server.Close()
		}
		stopped <- err
	})
	err := server.Serve(l)
	if unhook() { // the context has not ended: serving itself failed
		return err
	}
	return <-stopped
}

// IsLoopback reports whether only this machine can reach an address.
func IsLoopback(a net.Addr) bool {
	tcp, ok := a.(*net.TCPAddr)
	return ok && tcp.IP.IsLoopback()
}
