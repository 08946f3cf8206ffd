package main

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"math/big"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/vanwright/vanwright/cmd/internal/browsertest"
)

// ownCertificate writes a certificate for this machine that it signed itself, as a
// dealer may have one, and returns both files and who trusts it.
func ownCertificate(t *testing.T) (certFile, keyFile string, trust *x509.CertPool) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	own := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "yard"},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
	}
	signed, err := x509.CreateCertificate(rand.Reader, own, own, key.Public(), key)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	save := func(name, kind string, der []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: der}), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	parsed, err := x509.ParseCertificate(signed)
	if err != nil {
		t.Fatal(err)
	}
	trust = x509.NewCertPool()
	trust.AddCert(parsed)
	return save("cert.pem", "CERTIFICATE", signed), save("key.pem", "PRIVATE KEY", secret), trust
}

// overTLS opens two vans' yard over https, to every device of the network.
func overTLS(t *testing.T) (link, yard string, trust *x509.CertPool) {
	t.Helper()
	yard, reports := twoVans(t), t.TempDir()
	writeFrontPage(t, reports, "front")
	cert, key, trust := ownCertificate(t)
	link, stop := openedLink(t, "--reports", reports, "--yard", yard, "--listen", "0.0.0.0:0", "--tls-cert", cert, "--tls-key", key)
	t.Cleanup(stop)
	if !strings.HasPrefix(link, "https://") {
		t.Fatalf("the link is %s", link)
	}
	return link, yard, trust
}

// A program that trusts the certificate reads and hands in; one that does not, or
// that speaks plain HTTP, gets nothing, and the key stays within https.
func TestProgramHandsInOverTLS(t *testing.T) {
	link, yard, trust := overTLS(t)
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	trusting := &http.Client{Jar: jar, Timeout: time.Minute, Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: trust}}}
	resp, err := trusting.Get(link)
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if c := resp.Request.Response.Cookies(); resp.StatusCode != http.StatusOK || len(c) != 1 || !c[0].Secure || !c[0].HttpOnly {
		t.Errorf("the front page: %d, cookies %v", resp.StatusCode, c)
	}
	slip := zipped(t, "slip.csv", slipRow, "vans.csv", "stock_id,asking\nLV137,44995\n")
	if status, said := handedBy(t, trusting, link, bytes.NewReader(slip)); status != http.StatusOK {
		t.Errorf("%d %s", status, said)
	}
	if got := kept(t, yard); len(got) != 1 {
		t.Errorf("the yard keeps %q", got)
	}
	if resp, err := (&http.Client{Timeout: time.Minute}).Get(link); err == nil {
		resp.Body.Close()
		t.Error("a program that does not trust the certificate reads the pages")
	}
	plain, err := (&http.Client{Timeout: time.Minute}).Get(strings.Replace(link, "https://", "http://", 1))
	if err == nil {
		plain.Body.Close()
		if plain.StatusCode != http.StatusBadRequest {
			t.Errorf("plain HTTP is answered with %d", plain.StatusCode)
		}
	}
}

// The form hands in over https from a browser that was told to trust the yard's
// computer.
func TestBrowserHandsInOverTLS(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser is not started in short tests")
	}
	t.Cleanup(browsertest.End)
	link, yard, _ := overTLS(t)
	p := browsertest.OpenPhone(t, strings.Replace(link, "/?", "/form.html?", 1))
	p.Wait(pageReady)
	newVan(p, false, "UA01 TLS", "2018-04-02", "31000", "36995")
	formStep(p, "finish")
	p.Tap("#slip [value=hand]")
	p.Wait(`document.querySelector("#answer").textContent.startsWith("Handed in.")`)
	p.Quiet()
	if got := kept(t, yard); len(got) != 1 || !strings.Contains(got[0], "UA01TLS-") {
		t.Errorf("the yard keeps %q", got)
	}
}
