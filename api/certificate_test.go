package main

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"io"
	"log/slog"
	"math/big"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// selfSigned makes a certificate for sleds.example and its key, as PEM. Its serial number tells it from others.
func selfSigned(t *testing.T, serial int64) (cert, key []byte) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	template := x509.Certificate{
		SerialNumber: big.NewInt(serial), Subject: pkix.Name{CommonName: "sleds.example"},
		DNSNames:  []string{"sleds.example"},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour), BasicConstraintsValid: true,
		IsCA: true,
	}
	der, err := x509.CreateCertificate(rand.Reader, &template, &template, &private.PublicKey, private)
	require.NoError(t, err)
	pkcs8, err := x509.MarshalPKCS8PrivateKey(private)
	require.NoError(t, err)
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE",
		Bytes: der}), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: pkcs8})
}

// pair writes a certificate and its key into files.
func pair(t *testing.T, serial int64) (certFile, keyFile string) {
	t.Helper()
	folder := t.TempDir()
	certFile, keyFile = filepath.Join(folder, "cert.pem"), filepath.Join(folder, "key.pem")
	cert, key := selfSigned(t, serial)
	write(t, certFile, cert)
	write(t, keyFile, key)
	return certFile, keyFile
}

// serialOf is the certificate that a server shows, at most of a TLS version.
func serialOf(t *testing.T, address string, most uint16) (int64, error) {
	t.Helper()
	conn, err := tls.Dial("tcp", address,
		&tls.Config{InsecureSkipVerify: true, MinVersion: tls.VersionTLS10, MaxVersion: most})
	if err != nil {
		return 0, err
	}
	defer conn.Close()
	return conn.ConnectionState().PeerCertificates[0].SerialNumber.Int64(), nil
}

var secureLine = regexp.MustCompile(`Evenpull is at https://(\S+)/ with`)

func TestCertificate_MakesTheProgramSpeakHTTPS(t *testing.T) {
	t.Parallel()
	certFile, keyFile := pair(t, 1)
	cmd, stdout, stderr := command(t, filepath.Join(t.TempDir(), "fleet.db"), "--tls-cert", certFile, "--tls-key",
		keyFile)
	require.NoError(t, cmd.Start())
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	require.Eventually(t, func() bool { return secureLine.MatchString(stdout.String()) }, 30*time.Second,
		5*time.Millisecond, "%s", stderr)
	address := secureLine.FindStringSubmatch(stdout.String())[1]

	serial, err := serialOf(t, address, tls.VersionTLS12)
	require.NoError(t, err)
	assert.EqualValues(t, 1, serial)
	_, err = serialOf(t, address, tls.VersionTLS11)
	assert.Error(t, err, "nothing older than TLS 1.2")

	cert, err := os.ReadFile(certFile)
	require.NoError(t, err)
	trusted := x509.NewCertPool()
	require.True(t, trusted.AppendCertsFromPEM(cert))
	browser := &http.Client{Transport: &http.Transport{ForceAttemptHTTP2: true,
		TLSClientConfig: &tls.Config{RootCAs: trusted, ServerName: "sleds.example"}}}
	got, err := browser.Get("https://" + address + "/healthz")
	require.NoError(t, err)
	defer got.Body.Close()
	assert.Equal(t, 200, got.StatusCode)
	assert.Equal(t, 2, got.ProtoMajor)
	assert.NotEmpty(t, got.Header.Get("Strict-Transport-Security"), "a browser that came by HTTPS goes on so")
	plain, err := http.Get("http://" + address + "/healthz")
	require.NoError(t, err)
	body, err := io.ReadAll(plain.Body)
	plain.Body.Close()
	require.NoError(t, err)
	assert.Equal(t, 400, plain.StatusCode, "%s", body)

	does(t, "--check-health", "--addr", address, "--tls-cert", certFile, "--tls-key", keyFile)
	refuses(t, "answers 400", "--check-health", "--addr", address)

	// SIGHUP, which would else end it, is a word to read the files again.
	renewed, key := selfSigned(t, 2)
	write(t, certFile, renewed)
	write(t, keyFile, key)
	require.NoError(t, cmd.Process.Signal(syscall.SIGHUP))
	require.Eventually(t, func() bool { return strings.Contains(stderr.String(), "the certificate was read again") },
		30*time.Second, 5*time.Millisecond)
	serial, err = serialOf(t, address, tls.VersionTLS13)
	require.NoError(t, err)
	assert.EqualValues(t, 2, serial)
	require.NoError(t, cmd.Process.Signal(syscall.SIGTERM))
	require.NoError(t, cmd.Wait())
}

// A certificate is renewed by writing its files anew, one after the other. Until both fit, the one from before is
// shown.
func TestCertificate_IsReadAgainWhenRenewed(t *testing.T) {
	t.Parallel()
	certFile, keyFile := pair(t, 1)
	log := new(output)
	own, err := readCertificate(certFile, keyFile, slog.New(slog.NewTextHandler(log, nil)))
	require.NoError(t, err)
	shown := func() int64 {
		got, err := own.config().GetCertificate(&tls.ClientHelloInfo{})
		require.NoError(t, err)
		return got.Leaf.SerialNumber.Int64()
	}
	replace := func(name string, body []byte) { // as tools do: the new file takes the name of the old one
		write(t, name+".new", body)
		require.NoError(t, os.Rename(name+".new", name))
	}
	cert, key := selfSigned(t, 2)
	assert.EqualValues(t, 1, shown())
	replace(certFile, cert)
	assert.EqualValues(t, 1, shown(), "its key is not there yet")
	assert.Contains(t, log.String(), "the certificate from before is still used")
	replace(keyFile, key)
	assert.EqualValues(t, 2, shown())
	require.NoError(t, os.Remove(certFile))
	assert.EqualValues(t, 2, shown())
	replace(certFile, []byte("rubbish"))
	assert.EqualValues(t, 2, shown())
	said := strings.Count(log.String(), "still used")
	shown()
	assert.Equal(t, said, strings.Count(log.String(), "still used"), "said once, not at every handshake")
}

func TestCertificate_ThatCannotBeUsedIsOneClearLine(t *testing.T) {
	t.Parallel()
	certFile, keyFile := pair(t, 1)
	_, otherKey := pair(t, 2)
	for what, c := range map[string]struct{ cert, key, says string }{
		"a file that is not there": {filepath.Join(t.TempDir(), "none.pem"), keyFile, "the certificate cannot be read"},
		"the key of another":       {certFile, otherKey, "cannot be used"},
		"the two mixed up":         {keyFile, certFile, "cannot be used"},
	} {
		db := filepath.Join(t.TempDir(), "fleet.db")
		stderr := new(output)
		code := runProgram(context.Background(),
			[]string{"--addr", "127.0.0.1:0", "--db", db, "--tls-cert", c.cert, "--tls-key",
				c.key}, func(string) string { return "" }, new(output), stderr)
		assert.Equal(t, exitFailed, code, what)
		assert.Contains(t, stderr.String(), c.says, what)
		assert.Equal(t, 1, strings.Count(stderr.String(), "\n"), what)
		assert.NotContains(t, stderr.String(), "BEGIN", what)
		assert.NoFileExists(t, db, what)
	}
}
