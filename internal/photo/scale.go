package photo

import (
	"image"
	"image/color"
	"image/draw"
)

// shrink makes a picture whose longest side is at most longest; a smaller one keeps its size. Each dot is the mean of the
// area that it covers. It goes over the picture row by row: a large one takes no more memory than it has already.
func shrink(src image.Image, longest int) *image.RGBA {
	sw, sh := src.Bounds().Dx(), src.Bounds().Dy()
	w, h := fit(sw, sh, longest)
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	row := image.NewRGBA(image.Rect(0, 0, sw, 1))
	narrow := make([]uint64, 3*w) // one row of the picture, as narrow as the result
	sum := make([]uint64, 3*w)    // of the rows that one row of the result covers
	area := uint64(sw) * uint64(sh)
	// A row of the picture is h high and one of the result sh: both make up the same height.
	y, left := 0, sh
	for sy := range sh {
		readRow(row, src, sy)
		narrowRow(narrow, row.Pix, sw, w)
		for high := h; high > 0; {
			part := min(high, left)
			for i, v := range narrow {
				sum[i] += v * uint64(part)
			}
			high, left = high-part, left-part
			if left == 0 {
				writeRow(dst.Pix[y*dst.Stride:], sum, area)
				clear(sum)
				y, left = y+1, sh
			}
		}
	}
	return dst
}

// fit is the size in which a picture's longest side is at most longest.
func fit(w, h, longest int) (int, int) {
	side := max(w, h)
	if side <= longest {
		return w, h
	}
	return max(1, (w*longest+side/2)/side), max(1, (h*longest+side/2)/side)
}

// readRow copies a row of a picture, on white where one can see through it.
func readRow(row *image.RGBA, src image.Image, y int) {
	b := src.Bounds()
	from := image.Pt(b.Min.X, b.Min.Y+y)
	if isSolid(src) {
		draw.Draw(row, row.Rect, src, from, draw.Src)
		return
	}
	draw.Draw(row, row.Rect, image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.Draw(row, row.Rect, src, from, draw.Over)
}

// isSolid says whether nothing can be seen through any picture of this kind.
func isSolid(src image.Image) bool {
	switch src.(type) {
	case *image.YCbCr, *image.Gray, *image.Gray16, *image.CMYK:
		return true
	}
	return false
}

// narrowRow sums a row of sw dots up to w: a dot of the row is w wide, and one of the result sw.
func narrowRow(out []uint64, pix []uint8, sw, w int) {
	clear(out)
	x, left := 0, sw
	for sx := range sw {
		r, g, b := uint64(pix[4*sx]), uint64(pix[4*sx+1]), uint64(pix[4*sx+2])
		for wide := w; wide > 0; {
			part := min(wide, left)
			out[3*x] += r * uint64(part)
			out[3*x+1] += g * uint64(part)
			out[3*x+2] += b * uint64(part)
			wide, left = wide-part, left-part
			if left == 0 {
				x, left = x+1, sw
			}
		}
	}
}

func writeRow(pix []uint8, sum []uint64, area uint64) {
	for x := range len(sum) / 3 {
		for c := range 3 {
			pix[4*x+c] = uint8((sum[3*x+c] + area/2) / area)
		}
		pix[4*x+3] = 255
	}
}

// turn makes a picture upright that a camera took in an orientation (EXIF 2.32, 4.6.4 A): 2 to 4 are mirrored or upside down, 5
// to 8 lie on a side.
func turn(img *image.RGBA, orientation int) *image.RGBA {
	if orientation <= 1 {
		return img
	}
	w, h := img.Rect.Dx(), img.Rect.Dy()
	if orientation >= 5 {
		w, h = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			sx, sy := source(orientation, x, y, w, h)
			copy(out.Pix[out.PixOffset(x, y):][:4], img.Pix[img.PixOffset(sx, sy):][:4])
		}
	}
	return out
}

// source is the dot that comes to x, y of an upright picture of w by h.
func source(orientation, x, y, w, h int) (int, int) {
	switch orientation {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6: // the camera's right side is up: turn clockwise
		return y, w - 1 - x
	case 7:
		return h - 1 - y, w - 1 - x
	case 8:
		return h - 1 - y, x
	}
	return x, y
}
