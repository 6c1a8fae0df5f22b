package photo

import (
	"bytes"
	"encoding/binary"
)

// maxScans is the most passes that a JPEG may take over the picture. Cameras make one, programs up to about ten; a small file
// of thousands would keep a processor busy for minutes.
const maxScans = 40

// jpegHeader is what the segments before the first scan say. The markers are those of ITU-T T.81, table B.1.
type jpegHeader struct {
	orientation int
	samples     float64 // for each dot: 1 for grey, 1.5 for most photos, 3 without subsampling
	components  int
	progressive bool
	rgb         bool // red, green and blue instead of brightness and colour
	scans       int
}

// cost is the memory for each dot: the samples; where there are several passes, the coefficients of 4 bytes; for red, green and
// blue, or four inks, another picture of those.
func (j jpegHeader) cost() float64 {
	cost := j.samples
	if j.progressive {
		cost += 4 * j.samples
	}
	switch {
	case j.components == 4:
		cost += 8
	case j.rgb:
		cost += 4
	}
	return cost
}

// readJPEG walks over the segments. Of a file that it cannot follow it assumes what takes the most.
func readJPEG(file []byte) jpegHeader {
	j := jpegHeader{orientation: 1, samples: 4, components: 4, progressive: true}
	for at := 2; at+4 <= len(file) && file[at] == 0xff; {
		marker := file[at+1]
		if marker == 0xff { // a fill byte
			at++
			continue
		}
		if marker == 0xda { // the first scan
			// Inside a scan 0xff is followed by 0 or a restart's number, so that this counts markers alone.
			j.scans = bytes.Count(file[at:], []byte{0xff, 0xda})
			return j
		}
		end := at + 2 + int(binary.BigEndian.Uint16(file[at+2:]))
		if end > len(file) || end < at+4 {
			return j
		}
		segment := file[at+4 : end]
		switch {
		case marker >= 0xc0 && marker <= 0xc2:
			j.frame(segment, marker == 0xc2)
		case marker == 0xe1 && bytes.HasPrefix(segment, []byte("Exif\x00\x00")) && j.orientation == 1:
			j.orientation = orientation(segment[6:])
		case marker == 0xee && len(segment) >= 12 && bytes.HasPrefix(segment, []byte("Adobe")):
			j.rgb = j.rgb || segment[11] == 0
		}
		at = end
	}
	return j
}

// frame reads a frame header (T.81, B.2.2): how many samples there are for each dot.
func (j *jpegHeader) frame(segment []byte, progressive bool) {
	if len(segment) < 6 || len(segment) < 6+3*int(segment[5]) {
		return
	}
	n := int(segment[5])
	j.components, j.progressive, j.samples = n, progressive, max(1, float64(n))
	var areas [4]int // of each component in a block of dots
	for i := range min(n, len(areas)) {
		j.rgb = j.rgb || segment[6+3*i] == 'R'
		areas[i] = int(segment[7+3*i]>>4) * int(segment[7+3*i]&15)
	}
	// The usual kind: the colours share a resolution, which is at most that of the brightness. Others take a sample of each.
	if n == 3 && areas[0] > 0 && areas[1] == areas[2] && areas[1] <= areas[0] {
		j.samples = 1 + 2*float64(areas[1])/float64(areas[0])
	}
}

// readPNG reads what the memory for each dot is, and which way is up (Portable Network Graphics, third edition, 11.2.1 and
// 11.3.4.5).
func readPNG(file []byte) (cost float64, turned int) {
	const palette = 3
	if len(file) < 29 {
		return 1, 1
	}
	depth, kind, interlaced := file[24], file[25], file[28] != 0
	cost = 4 // grey too, when one can see through a shade of it
	if kind == palette {
		cost = 1
	}
	if depth == 16 {
		cost *= 2
	}
	if interlaced {
		cost *= 2 // the passes come beside the whole
	}
	for at := 8; at+12 <= len(file); {
		end := at + 12 + int(binary.BigEndian.Uint32(file[at:]))
		if end > len(file) || end < at {
			break
		}
		if string(file[at+4:at+8]) == "eXIf" {
			return cost, orientation(file[at+8 : end-4])
		}
		at = end
	}
	return cost, 1
}

// webpCost is that of its costliest kind: without loss, with a palette.
const webpCost = 8

// readWebP reads which way is up (WebP container specification, metadata).
func readWebP(file []byte) int {
	for at := 12; at+8 <= len(file); {
		size := int(binary.LittleEndian.Uint32(file[at+4:]))
		end := at + 8 + size
		if end > len(file) || end < at {
			break
		}
		if string(file[at:at+4]) == "EXIF" {
			return orientation(bytes.TrimPrefix(file[at+8:end], []byte("Exif\x00\x00")))
		}
		at = end + size%2
	}
	return 1
}

// orientation reads the tag that says which way a camera was held (EXIF 2.32, 4.6.4 A: tag 274 of the first directory of a TIFF
// structure), 1 where there is none.
func orientation(tiff []byte) int {
	const tag, short = 274, 3
	if len(tiff) < 8 {
		return 1
	}
	var order binary.ByteOrder
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return 1
	}
	at := int64(order.Uint32(tiff[4:]))
	if at+2 > int64(len(tiff)) {
		return 1
	}
	entries := tiff[at+2:]
	for range order.Uint16(tiff[at:]) {
		if len(entries) < 12 {
			return 1
		}
		if order.Uint16(entries) == tag && order.Uint16(entries[2:]) == short {
			if o := int(order.Uint16(entries[8:])); o >= 1 && o <= 8 {
				return o
			}
			return 1
		}
		entries = entries[12:]
	}
	return 1
}
