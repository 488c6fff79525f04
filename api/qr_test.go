package main

import (
	"image"
	"image/color"
	"regexp"
	"strconv"
	"strings"
	"testing"

	goqr "github.com/piglig/go-qr"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/openapi"
)

var dash = regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`)

// painted is the drawing of a QR code as pixels, several to a module.
func painted(t *testing.T, svg string) image.Image {
	t.Helper()
	box := regexp.MustCompile(`viewBox="0 0 (\d+) (\d+)"`).FindStringSubmatch(svg)
	require.NotNil(t, box)
	number := func(text string) int {
		n, err := strconv.Atoi(text)
		require.NoError(t, err)
		return n
	}
	const scale = 6
	size := number(box[1])
	picture := image.NewGray(image.Rect(0, 0, size*scale, size*scale))
	for i := range picture.Pix {
		picture.Pix[i] = 255
	}
	dashes := dash.FindAllStringSubmatch(svg, -1)
	require.NotEmpty(t, dashes)
	for _, d := range dashes {
		require.Equal(t, d[3], d[4])
		x, y, width := number(d[1]), number(d[2]), number(d[3])
		for row := y * scale; row < (y+1)*scale; row++ {
			for column := x * scale; column < (x+width)*scale; column++ {
				picture.SetGray(column, row, color.Gray{})
			}
		}
	}
	return picture
}

// What a phone reads off the drawing is the link that the show names, and nothing else.
func TestQRCode_LeadsToThePullersPage(t *testing.T) {
	t.Parallel()
	for given, want := range map[string]string{
		"https://sleds.example":       "https://sleds.example/pullers?show=" + winterPull,
		"https://sleds.example/":      "https://sleds.example/pullers?show=" + winterPull,
		"http://192.0.2.7:8080":       "http://192.0.2.7:8080/pullers?show=" + winterPull,
		"https://sleds.example/crew/": "https://sleds.example/crew/pullers?show=" + winterPull,
	} {
		p := start(t, "--demo", "--public-url", given)
		show := into[openapi.Show](t, p.do(get("/v1/shows/"+winterPull)), 200)
		require.NotNil(t, show.PullersUrl)
		assert.Equal(t, want, *show.PullersUrl)
		got := p.do(get("/v1/shows/" + winterPull + "/qr.svg"))
		require.Equal(t, 200, got.StatusCode, "%s", got.body)
		read, err := goqr.Decode(painted(t, string(got.body)))
		require.NoError(t, err)
		assert.Equal(t, want, read)
		assert.Contains(t, string(got.body), "<title id=\"title\">Tonight&#39;s settings at Winter pull</title>")
	}
}

// The longest name there can be, in letters that a link spells with nine characters each, behind the longest address.
func TestQRCode_ExistsForEveryShow(t *testing.T) {
	t.Parallel()
	address := "https://" + strings.Repeat("sleds.", 31) + "org"
	require.Less(t, len(address), maxPublicURL+1)
	p := start(t, "--public-url", address)
	into[openapi.Sled](t, p.do(post("/v1/sleds", bluestem())), 201)
	show := into[openapi.Show](t, p.do(post("/v1/shows", showOn(strings.Repeat("車", 100), "2099-07-18", "bluestem"))),
		201)
	got := p.do(get("/v1/shows/" + strings.Repeat("%E8%BB%8A", 100) + "-2099-07-18/qr.svg"))
	require.Equal(t, 200, got.StatusCode, "%s", got.body)
	read, err := goqr.Decode(painted(t, string(got.body)))
	require.NoError(t, err)
	assert.Equal(t, *show.PullersUrl, read)
}

func TestQRCode_NeedsAPublicAddress(t *testing.T) {
	t.Parallel()
	p := start(t, "--demo")
	got := problemOf(t, p.do(get("/v1/shows/"+winterPull+"/qr.svg")), 409)
	assert.Contains(t, got.Detail, "--public-url")
	assert.Nil(t, into[openapi.Show](t, p.do(get("/v1/shows/"+winterPull)), 200).PullersUrl)
}
