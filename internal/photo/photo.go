// Package photo makes what a phone's camera sends safe to keep: it looks before it opens, turns the picture upright, makes it no
// larger than is of use beside a lift, and writes it anew as a JPEG. What is written holds the picture's dots and nothing else of
// the file: no place, no time, no camera, nothing hidden behind the picture.
//
// A file is taken for what its first bytes say; neither its name nor what the browser calls it counts. Its size in dots
// is read from the header and refused before memory is given to it.
package photo

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"

	"golang.org/x/image/webp"
)

const (
	// MaxBytes is the largest file that is taken.
	MaxBytes = 32 << 20
	// MaxPixels is the largest picture that is opened.
	MaxPixels = 50_000_000
	// MaxMemory is the most that opening one picture may take, in bytes. A plain photo of MaxPixels takes half of it.
	MaxMemory = 256 << 20
	// Longest is the longest side of what is kept, and LongestSmall that of the small version, in dots.
	Longest      = 2560
	LongestSmall = 480
)

// quality is that of the JPEGs written: at 85 a photo shows no difference beside its original.
const quality = 85

// Photo is a photo ready to be kept: JPEGs, upright.
type Photo struct {
	Width  int
	Height int
	Full   []byte
	Small  []byte // longest side LongestSmall
}

// Refused says in a sentence to whoever sent a file why it is not taken.
type Refused string

func (r Refused) Error() string { return string(r) }

// The sentences for the commonest refusals.
const (
	errEmpty    Refused = "The file is empty."
	errTooLarge Refused = "The file is larger than 32 MB. Take the photo at a lower resolution, or send it as JPEG."
	errPixels   Refused = "The picture has more than 50 megapixels. Take it at a lower resolution."
	errMemory   Refused = "Opening this picture takes more memory than is given to one. Save it as an ordinary JPEG and send that."
	errBroken   Refused = "The picture cannot be read: the file is damaged, or not whole. Take it anew, or send it once more."
	errUnknown  Refused = "That is not a photo: JPEG, PNG and WebP are taken."
)

// ErrTooLarge is the refusal of a file of more than MaxBytes.
const ErrTooLarge = errTooLarge

// Make reads a file and makes the photo of it. A [Refused] error is about the file; any other is that of ctx, at whose end a
// picture that takes long is given up.
func Make(ctx context.Context, file []byte) (Photo, error) {
	h, err := look(file)
	if err != nil {
		return Photo{}, err
	}
	img, err := h.decode(&reader{ctx: ctx, r: bytes.NewReader(file)})
	if ctx.Err() != nil {
		return Photo{}, ctx.Err()
	}
	if err != nil || img.Bounds().Dx() != h.width || img.Bounds().Dy() != h.height {
		return Photo{}, errBroken
	}
	full := turn(shrink(img, Longest), h.orientation)
	small := shrink(full, LongestSmall)
	p := Photo{Width: full.Rect.Dx(), Height: full.Rect.Dy()}
	if p.Full, err = encode(full); err != nil {
		return Photo{}, err
	}
	p.Small, err = encode(small)
	return p, err
}

func encode(img image.Image) ([]byte, error) {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		return nil, fmt.Errorf("photo: %w", err)
	}
	return bytes.Clone(b.Bytes()), nil // without the room it grew into
}

// header is what is known of a file before it is opened.
type header struct {
	width, height int
	orientation   int     // 1 to 8, as EXIF counts; 1 is upright
	cost          float64 // bytes of memory for each dot while it is opened
	decode        func(io.Reader) (image.Image, error)
}

// look reads the header of a file and refuses what must not be opened.
func look(file []byte) (header, error) {
	switch {
	case len(file) == 0:
		return header{}, errEmpty
	case len(file) > MaxBytes:
		return header{}, errTooLarge
	}
	h, config, err := sniff(file)
	if err != nil {
		return h, err
	}
	c, err := config(bytes.NewReader(file))
	if err != nil || c.Width < 1 || c.Height < 1 {
		return h, errBroken
	}
	h.width, h.height = c.Width, c.Height
	pixels := int64(c.Width) * int64(c.Height)
	switch {
	case pixels > MaxPixels || int64(c.Width) > MaxPixels || int64(c.Height) > MaxPixels:
		return h, errPixels
	case h.memory() > MaxMemory:
		return h, errMemory
	}
	return h, nil
}

// memory is what opening the picture takes.
func (h header) memory() float64 { return float64(h.width) * float64(h.height) * h.cost }

type configFunc func(io.Reader) (image.Config, error)

// sniff tells by its first bytes what a file is.
func sniff(file []byte) (h header, config configFunc, err error) {
	switch {
	case bytes.HasPrefix(file, []byte("\xff\xd8\xff")):
		j := readJPEG(file)
		if j.scans > maxScans {
			return h, nil, errBroken
		}
		return header{orientation: j.orientation, cost: j.cost(), decode: jpeg.Decode}, jpeg.DecodeConfig, nil
	case bytes.HasPrefix(file, []byte("\x89PNG\r\n\x1a\n")):
		if len(file) >= 24 && max(binary.BigEndian.Uint32(file[16:]), binary.BigEndian.Uint32(file[20:])) > MaxPixels {
			return h, nil, errPixels
		}
		cost, orientation := readPNG(file)
		return header{orientation: orientation, cost: cost, decode: png.Decode}, png.DecodeConfig, nil
	case len(file) > 12 && string(file[:4]) == "RIFF" && string(file[8:12]) == "WEBP":
		return header{orientation: readWebP(file), cost: webpCost, decode: decodeWebP}, webp.DecodeConfig, nil
	}
	return h, nil, stranger(file)
}

// decodeWebP opens a WebP. Its brightness runs from 16 to 235 and its colours from 16 to 240 (RFC 9649, section 2.5, by ITU-R
// BT.601), where a JPEG's, as which the library hands them out, use the whole of a byte.
func decodeWebP(r io.Reader) (image.Image, error) {
	img, err := webp.Decode(r)
	var planes *image.YCbCr
	switch kind := img.(type) {
	case *image.YCbCr:
		planes = kind
	case *image.NYCbCrA:
		planes = &kind.YCbCr
	default:
		return img, err
	}
	var bright, colour [256]uint8
	for i := range 256 {
		bright[i] = uint8(min(max((i-16)*255+109, 0)/219, 255))
		colour[i] = uint8(min(max((i-128)*255+128*224+112, 0)/224, 255))
	}
	for i, v := range planes.Y {
		planes.Y[i] = bright[v]
	}
	for _, plane := range [][]uint8{planes.Cb, planes.Cr} {
		for i, v := range plane {
			plane[i] = colour[v]
		}
	}
	return img, err
}

// stranger words the refusal of a file that is none of the three.
func stranger(file []byte) error {
	head := bytes.TrimLeft(bytes.TrimPrefix(file[:min(len(file), 512)], []byte("\xef\xbb\xbf")), " \t\r\n")
	lower := bytes.ToLower(head)
	switch {
	case bytes.HasPrefix(lower, []byte("<svg")), bytes.HasPrefix(lower, []byte("<?xml")), bytes.HasPrefix(lower, []byte("<!doctype svg")):
		return Refused("That is a drawing (SVG), not a photo: a drawing can carry a program. Send a photo of it as JPEG, PNG or WebP.")
	case len(file) > 12 && string(file[4:8]) == "ftyp":
		return Refused("That is a film, or a photo in a format that browsers do not show (HEIC, AVIF). Set the camera to JPEG, or send it as JPEG.")
	case bytes.HasPrefix(head, []byte("GIF8")):
		return Refused("GIF is not taken. Send the picture as JPEG, PNG or WebP.")
	}
	return errUnknown
}

// reader ends with ctx, so that a picture is given up when nobody waits for it.
type reader struct {
	ctx context.Context
	r   io.Reader
}

func (r *reader) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.r.Read(p)
}

// IsRefused says whether an error is about the file that was sent.
func IsRefused(err error) bool {
	_, refused := errors.AsType[Refused](err)
	return refused
}
