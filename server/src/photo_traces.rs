//! Whether the bytes of a picture tell where it was taken: by a GPS block of EXIF, or by XMP.
//!
//! Our own phones keep only pixels, but some browsers write an EXIF block with the size of the picture around them: what
//! counts is whether a place is in it. Blocks are looked for everywhere, since previews carry blocks of their own.

/// The tag of IFD0 that points to the GPS block (Exif 2.32, CIPA DC-008-2019, 4.6.3: GPSInfoIFDPointer, 34853).
const GPS_POINTER: u16 = 0x8825;
/// The most entries and directories that are looked at: more stand in no real picture.
const MOST: usize = 512;

/// What stands before the TIFF header of an EXIF block: in JPEG, in PNG, and in WebP four bytes of length between.
const BEFORE: [(&[u8], usize); 3] = [(b"Exif\0\0", 0), (b"eXIf", 0), (b"EXIF", 4)];

/// Names under which XMP tells a place, and PNG texts that hide an EXIF block in compressed words.
const NAMES: [&[u8]; 4] = [
    b"GPSLatitude",
    b"GPSLongitude",
    b"Raw profile type exif",
    b"Raw profile type APP1",
];

/// Whether the bytes of a picture tell a place.
pub fn tells_place(bytes: &[u8]) -> bool {
    let named = NAMES
        .iter()
        .any(|name| bytes.windows(name.len()).any(|window| window == *name));
    named || exif_blocks(bytes).any(|block| has_gps(block) == Some(true))
}

/// From the TIFF header of every EXIF block on.
fn exif_blocks(bytes: &[u8]) -> impl Iterator<Item = &[u8]> {
    let headers = bytes
        .windows(4)
        .enumerate()
        .filter(|(_, window)| matches!(*window, b"II*\0" | b"MM\0*"))
        .map(|(place, _)| place);
    headers.filter_map(|place| {
        let (before, block) = bytes.split_at_checked(place)?;
        BEFORE
            .iter()
            .any(|(mark, between)| {
                before
                    .len()
                    .checked_sub(*between)
                    .and_then(|end| before.get(..end))
                    .is_some_and(|before| before.ends_with(mark))
            })
            .then_some(block)
    })
}

/// Whether one of the first directories of a TIFF block points to GPS; `None` where the block breaks off.
fn has_gps(block: &[u8]) -> Option<bool> {
    let tiff = Tiff {
        block,
        little: block.first() == Some(&b'I'),
    };
    let mut directory = tiff.long(4)?;
    for _ in 0..MOST {
        if directory == 0 {
            return Some(false);
        }
        let entries = usize::from(tiff.short(directory)?);
        for entry in 0..entries.min(MOST) {
            if tiff.short(directory + 2 + entry * 12)? == GPS_POINTER {
                return Some(true);
            }
        }
        directory = tiff.long(directory + 2 + entries * 12)?;
    }
    Some(false)
}

struct Tiff<'a> {
    block: &'a [u8],
    little: bool,
}

impl Tiff<'_> {
    fn short(&self, place: usize) -> Option<u16> {
        let bytes = self.block.get(place..)?.first_chunk()?;
        Some(if self.little {
            u16::from_le_bytes(*bytes)
        } else {
            u16::from_be_bytes(*bytes)
        })
    }

    fn long(&self, place: usize) -> Option<usize> {
        let bytes = self.block.get(place..)?.first_chunk()?;
        let long = if self.little {
            u32::from_le_bytes(*bytes)
        } else {
            u32::from_be_bytes(*bytes)
        };
        usize::try_from(long).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A block with one entry of this tag, as TIFF 6.0 lays it out.
    fn block(tag: u16, little: bool) -> Vec<u8> {
        let short = |value: u16| {
            if little {
                value.to_le_bytes()
            } else {
                value.to_be_bytes()
            }
        };
        let long = |value: u32| {
            if little {
                value.to_le_bytes()
            } else {
                value.to_be_bytes()
            }
        };
        let mut bytes = if little { b"II*\0" } else { b"MM\0*" }.to_vec();
        bytes.extend(long(8));
        bytes.extend(short(1));
        bytes.extend(short(tag));
        bytes.extend(short(4));
        bytes.extend(long(1));
        bytes.extend(long(26));
        bytes.extend(long(0));
        bytes
    }

    #[test]
    fn a_gps_block_is_found_in_every_container_and_byte_order() {
        for little in [true, false] {
            for mark in [&b"xxExif\0\0"[..], b"xxeXIf", b"xxEXIF\x1a\0\0\0"] {
                let with = [mark, &block(GPS_POINTER, little)].concat();
                assert!(tells_place(&with), "{mark:?} {little}");
                // Pixel size only, as browsers write it.
                let without = [mark, &block(0x8769, little)].concat();
                assert!(!tells_place(&without), "{mark:?} {little}");
            }
        }
        assert!(!tells_place(&block(GPS_POINTER, true)), "no EXIF block");
        assert!(tells_place(b"<x:xmpmeta exif:GPSLatitude=\"1,2N\">"));
    }

    #[test]
    fn blocks_that_break_off_or_turn_in_circles_end() {
        let mut circle = [&b"Exif\0\0"[..], &block(0x8769, true)].concat();
        let end = circle.len() - 4;
        circle[end..].copy_from_slice(&8u32.to_le_bytes());
        assert!(!tells_place(&circle));
        for cut in 0..circle.len() {
            assert!(!tells_place(&circle[..cut]), "{cut}");
        }
    }
}
