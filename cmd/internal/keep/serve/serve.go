// Package serve shows a folder of reports to a browser, for reading only.
//
// In go a folder and a listener; out come its files over HTTP until the context
// ends. It never writes, lists no folders, follows no link out of the folder,
// shows no hidden file, and on a loopback listener answers only to loopback
// names, so that a web page from elsewhere cannot read the reports by pointing
// a name of its own at this machine.
//
//	reports, err := serve.Open("vanwright-demo/reports")
//	…
//	return serve.Run(ctx, listener, reports)
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
// for a few seconds. It closes the listener. The end of the context is no
// error.
func Run(ctx context.Context, l net.Listener, reports *Reports) error {
	server := &http.Server{
		Handler:           Handler(reports, isLoopback(l.Addr())),
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

// isLoopback reports whether only this machine can reach an address.
func isLoopback(a net.Addr) bool {
	tcp, ok := a.(*net.TCPAddr)
	return ok && tcp.IP.IsLoopback()
}
