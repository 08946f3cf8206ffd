package main

import (
	"cmp"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"regexp"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/keep/serve"
	"github.com/vanwright/vanwright/cmd/internal/write/terminal"
)

// Where open listens unless it is told: the pages keep what is not handed in yet by
// their address, so that each start has the same one where it can.
const (
	usualPort       = "127.0.0.1:8088"
	anyLoopbackPort = "127.0.0.1:0" // a free one that only this machine can reach
)

func newOpenCommand(v *viper.Viper) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "open [--reports DIR] [--yard DIR] [--listen ADDR]",
		Short: "show the reports in a browser, and take slips for the yard",
		Long: `Open shows a folder of reports to a browser until it is stopped (Ctrl-C), and
prints the address to go to. What a later run puts in the folder shows at the
next click.

With --yard DIR it also takes slips: the desk, the technicians' pages and the
condition form, at /form.html, hand in with one tap. A slip is read as run would
read it before it is kept in DIR/slips, and the answer says what of it would be
rejected. Without --yard it changes nothing.

Only this machine can reach it, unless --listen says otherwise: with
--listen 0.0.0.0:8088 every device of the network can. What a page has kept and not
handed in is there again at the next start at the same address. Each slip, and beyond this
machine each page, wants a key, which is in the link that is printed, with a
square for a phone's camera. The key is a new one for each start, unless
--key-file names a file that holds one; a file that is not there yet gets one.
What passes the network can be read on its way unless --tls-cert and --tls-key
name a certificate and its key, as PEM.

Without --reports it shows vanwright-demo/reports where that exists, or else
reports.
` + exitHelp,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := bindFlags(v, cmd, "reports", "yard", "listen", "key-file", "tls-cert", "tls-key"); err != nil {
				return err
			}
			return runOpen(v, cmd, opening{
				reports: v.GetString("reports"), yard: v.GetString("yard"), listen: v.GetString("listen"), keyFile: v.GetString("key-file"),
				cert: v.GetString("tls-cert"), certKey: v.GetString("tls-key"),
			})
		},
	}
	cmd.Flags().String("reports", "", "`DIR` of the reports")
	cmd.Flags().String("yard", "", "`DIR` of the yard that takes slips")
	cmd.Flags().String("listen", "", "`ADDR` to listen at, host:port (default "+usualPort+", or another port where that is taken)")
	cmd.Flags().String("key-file", "", "`FILE` that holds the key of the link")
	cmd.Flags().String("tls-cert", "", "`FILE` of the certificate for https, PEM")
	cmd.Flags().String("tls-key", "", "`FILE` of its private key, PEM")
	return cmd
}

// opening is what open was asked for.
type opening struct {
	reports, yard, listen, keyFile string
	cert, certKey                  string
}

func runOpen(v *viper.Viper, cmd *cobra.Command, o opening) error {
	if o.reports == "" {
		o.reports = usualReports()
	}
	reports, err := serve.Open(o.reports)
	if err != nil {
		return err
	}
	if _, _, err := net.SplitHostPort(o.listen); o.listen != "" && err != nil {
		return usagef("--listen is %q; expected host:port such as %s", o.listen, usualPort)
	}
	l, scheme, err := o.listener(cmd.Context())
	if err != nil {
		return err
	}
	defer l.Close()
	site := serve.Site{Reports: reports}
	if o.yard != "" {
		desk, s, err := newYardDesk(v, cmd)
		if err != nil {
			return err
		}
		if site.Slips, err = desk.slips(s.Yard); err != nil {
			return err
		}
		site.Pages = desk.pages()
	}
	beyond := !serve.IsLoopback(l.Addr())
	if beyond || site.Slips != nil {
		if site.Key, err = o.key(); err != nil {
			return err
		}
	}
	out := cmd.OutOrStdout()
	links := linksTo(l.Addr(), scheme, site.Key)
	fmt.Fprintf(out, "%s is shown at %s\n", o.reports, links[0])
	for _, other := range links[1:] {
		fmt.Fprintf(out, "or %s\n", other)
	}
	if site.Slips != nil {
		fmt.Fprintf(out, "slips for %s are handed in with this link; the condition form is at %s\n", o.yard, strings.Replace(links[0], "/?", "/form.html?", 1))
	}
	if site.Key != "" {
		terminal.Square(out, links[0])
	}
	if beyond && scheme == "http" {
		fmt.Fprintln(out, "whoever has this link can read it, cost prices included, and without --tls-cert so can a listener on the network")
	}
	fmt.Fprintln(out, "stop with Ctrl-C")
	if err := serve.Run(cmd.Context(), l, site); err != nil {
		return fmt.Errorf("show the reports: %w", err)
	}
	return nil
}

// listener listens at the address, with TLS where a certificate was given.
func (o opening) listener(ctx context.Context) (net.Listener, string, error) {
	if (o.cert == "") != (o.certKey == "") {
		return nil, "", usagef("--tls-cert and --tls-key go together: give both or none")
	}
	var config *tls.Config
	if o.cert != "" {
		pair, err := tls.LoadX509KeyPair(o.cert, o.certKey)
		if err != nil {
			return nil, "", fmt.Errorf("read the certificate: %w", err)
		}
		config = &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12, NextProtos: []string{"http/1.1"}}
	}
	var lc net.ListenConfig
	l, err := lc.Listen(ctx, "tcp", cmp.Or(o.listen, usualPort))
	if err != nil && o.listen == "" {
		l, err = lc.Listen(ctx, "tcp", anyLoopbackPort)
	}
	if err != nil {
		return nil, "", fmt.Errorf("listen at %s: %w", cmp.Or(o.listen, usualPort), err)
	}
	if config == nil {
		return l, "http", nil
	}
	return tls.NewListener(l, config), "https", nil
}

// goodKey is what a key file may hold: as much as cannot be guessed, of what a link
// carries as it is.
var goodKey = regexp.MustCompile(`^[A-Za-z0-9_-]{16,200}$`)

// key returns the key of the link: that of the key file, which gets one where it
// is not there yet, or else a new one.
func (o opening) key() (string, error) {
	if o.keyFile == "" {
		return serve.NewKey(), nil
	}
	text, err := os.ReadFile(o.keyFile)
	if errors.Is(err, fs.ErrNotExist) {
		key := serve.NewKey()
		if err := os.WriteFile(o.keyFile, []byte(key+"\n"), 0o600); err != nil { // for its owner alone
			return "", fmt.Errorf("write the key file: %w", err)
		}
		return key, nil
	}
	if err != nil {
		return "", fmt.Errorf("read the key file: %w", err)
	}
	key := strings.TrimSpace(string(text))
	if !goodKey.MatchString(key) {
		return "", fmt.Errorf("%s holds no key: expected one line of 16 to 200 letters, digits, _ and -", o.keyFile)
	}
	return key, nil
}

// linksTo lists the addresses at which a listener is reached, with the key. One
// that listens everywhere is reached at each address of this machine.
func linksTo(at net.Addr, scheme, key string) []string {
	query := ""
	if key != "" {
		query = "?key=" + key
	}
	link := func(host string) string { return scheme + "://" + host + "/" + query }
	tcp, ok := at.(*net.TCPAddr)
	if !ok || !tcp.IP.IsUnspecified() {
		return []string{link(at.String())}
	}
	var links []string
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		addresses = nil // the address that was asked for is said instead
	}
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && !n.IP.IsLoopback() && !n.IP.IsLinkLocalUnicast() {
			links = append(links, link(net.JoinHostPort(n.IP.String(), fmt.Sprint(tcp.Port))))
		}
	}
	if len(links) == 0 {
		links = append(links, link(at.String()))
	}
	return links
}
