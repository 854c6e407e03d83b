//! The bytes of photos: checked, decoded with limits, written once, with a thumbnail beside them.

use std::ffi::OsString;
use std::io::Cursor;
use std::sync::Arc;
use std::time::Duration;

use bytes::Bytes;
use fast_image_resize as resize;
use image::{DynamicImage, ImageFormat, ImageReader, Limits};
use object_store::path::Path;
use object_store::{ObjectStore, ObjectStoreExt, PutMode, PutOptions};
use setdown_types::digest::digest_hex;
use setdown_types::ids::OrganisationId;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use crate::error::ServerError;
use crate::photo_location;
use crate::photo_traces::tells_place;

/// The most bytes one photo may have.
pub const MAX_PHOTO_BYTES: usize = 16 * 1024 * 1024;
/// The most pixels along one side.
pub const MAX_SIDE: u32 = 12_000;
/// The most pixels in all: what decoding may take is four bytes for each.
pub const MAX_PIXELS: u64 = 40_000_000;
/// The long side of a thumbnail, pixels.
pub const THUMBNAIL_SIDE: u32 = 320;
/// How many photos are decoded at once.
const DECODERS: usize = 2;
/// How much of photos on their way in is held at once, KiB: room for eight of the largest.
const ROOM: usize = 8 * MAX_PHOTO_BYTES / 1024;
/// How long one waits for room before being asked to come back, seconds.
const ROOM_PATIENCE: i64 = 10;

/// A photo that was checked, ready to be kept.
pub struct Checked {
    /// Its media type, by its bytes.
    pub media_type: &'static str,
    /// A small JPEG of it.
    pub thumbnail: Vec<u8>,
}

/// Where the bytes of photos live.
#[derive(Debug, Clone)]
pub struct PhotoStore {
    objects: Arc<dyn ObjectStore>,
    decoders: Arc<Semaphore>,
    room: Arc<Semaphore>,
}

impl PhotoStore {
    /// Opens the folder or bucket that `location` names; keys of a bucket come from the environment.
    ///
    /// # Errors
    /// [`ServerError::Setting`] for any other location.
    pub fn open(location: &str) -> Result<Self, ServerError> {
        let readable = |(name, value): (OsString, OsString)| {
            Some((name.into_string().ok()?, value.into_string().ok()?))
        };
        Self::open_with(location, std::env::vars_os().filter_map(readable))
    }

    /// The same with the environment as an argument.
    pub fn open_with(
        location: &str,
        variables: impl IntoIterator<Item = (String, String)>,
    ) -> Result<Self, ServerError> {
        Ok(Self {
            objects: photo_location::open(location, variables)?,
            decoders: Arc::new(Semaphore::new(DECODERS)),
            room: Arc::new(Semaphore::new(ROOM)),
        })
    }

    /// Room for so many bytes, before they are read.
    ///
    /// # Errors
    /// [`ServerError::TooMany`] where others take it all for long.
    pub async fn room(&self, bytes: usize) -> Result<OwnedSemaphorePermit, ServerError> {
        let kibibytes = u32::try_from((bytes / 1024 + 1).min(ROOM)).unwrap_or(u32::MAX);
        tokio::time::timeout(
            Duration::from_secs(ROOM_PATIENCE.unsigned_abs()),
            Arc::clone(&self.room).acquire_many_owned(kibibytes),
        )
        .await
        .map_err(|_| ServerError::TooMany(ROOM_PATIENCE))?
        .map_err(|_| ServerError::Stopping)
    }

    /// Checks that `bytes` have this digest and are a picture within the limits; makes the
    /// thumbnail on the way.
    pub async fn check(&self, sha256: &str, bytes: Bytes) -> Result<Checked, ServerError> {
        let sha256 = sha256.to_owned();
        self.in_turn(move || check(&sha256, &bytes)).await
    }

    /// The same for what somebody sends: a picture that tells where it was taken is not kept.
    pub async fn check_sent(&self, sha256: &str, bytes: Bytes) -> Result<Checked, ServerError> {
        let sha256 = sha256.to_owned();
        self.in_turn(move || {
            let checked = check(&sha256, &bytes)?;
            if tells_place(&bytes) {
                return Err(tells_where());
            }
            Ok(checked)
        })
        .await
    }

    /// Works on a picture away from the async threads, when a decoder is free.
    async fn in_turn<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> Result<T, ServerError> + Send + 'static,
    ) -> Result<T, ServerError> {
        let turn = Arc::clone(&self.decoders)
            .acquire_owned()
            .await
            .map_err(|_| ServerError::Stopping)?;
        // The turn ends with the work, also where nobody waits for it any more.
        let work = move || {
            let _turn = turn;
            work()
        };
        tokio::task::spawn_blocking(work)
            .await
            .map_err(|error| ServerError::Internal(format!("a decoder stopped: {error}")))?
    }

    /// Writes a photo and its thumbnail; bytes that are there already stay as they are.
    pub async fn put(
        &self,
        organisation: OrganisationId,
        sha256: &str,
        bytes: Bytes,
        checked: Checked,
    ) -> Result<(), ServerError> {
        self.create(
            Self::thumbnail_path(organisation, sha256),
            checked.thumbnail.into(),
        )
        .await?;
        self.create(Self::path(organisation, sha256), bytes).await
    }

    /// Whether a photo and its thumbnail are there: a store that was put back from an older copy lacks what came later.
    pub async fn holds(
        &self,
        organisation: OrganisationId,
        sha256: &str,
    ) -> Result<bool, ServerError> {
        for path in Self::paths(organisation, sha256) {
            match self.objects.head(&path).await {
                Ok(_) => {}
                Err(object_store::Error::NotFound { .. }) => return Ok(false),
                Err(error) => return Err(error.into()),
            }
        }
        Ok(true)
    }

    async fn create(&self, path: Path, bytes: Bytes) -> Result<(), ServerError> {
        let options = PutOptions {
            mode: PutMode::Create,
            ..PutOptions::default()
        };
        match self.objects.put_opts(&path, bytes.into(), options).await {
            Ok(_) => Ok(()),
            // A bucket says so as well while another writer is at it, who may yet fail: it counts once it is there.
            Err(object_store::Error::AlreadyExists { .. }) => {
                self.objects.head(&path).await?;
                Ok(())
            }
            Err(error) => Err(error.into()),
        }
    }

    /// The bytes of a photo.
    pub async fn get(
        &self,
        organisation: OrganisationId,
        sha256: &str,
    ) -> Result<Bytes, ServerError> {
        self.read(Self::path(organisation, sha256)).await
    }

    /// The small JPEG of a photo.
    pub async fn thumbnail(
        &self,
        organisation: OrganisationId,
        sha256: &str,
    ) -> Result<Bytes, ServerError> {
        self.read(Self::thumbnail_path(organisation, sha256)).await
    }

    async fn read(&self, path: Path) -> Result<Bytes, ServerError> {
        match self.objects.get(&path).await {
            Ok(found) => Ok(found.bytes().await?),
            Err(object_store::Error::NotFound { .. }) => Err(ServerError::NotFound("photo")),
            Err(error) => Err(error.into()),
        }
    }

    /// Deletes a photo and its thumbnail; what is not there is no error.
    pub async fn delete(
        &self,
        organisation: OrganisationId,
        sha256: &str,
    ) -> Result<(), ServerError> {
        for path in Self::paths(organisation, sha256) {
            match self.objects.delete(&path).await {
                Ok(()) | Err(object_store::Error::NotFound { .. }) => {}
                Err(error) => return Err(error.into()),
            }
        }
        Ok(())
    }

    fn paths(organisation: OrganisationId, sha256: &str) -> [Path; 2] {
        [
            Self::path(organisation, sha256),
            Self::thumbnail_path(organisation, sha256),
        ]
    }

    fn path(organisation: OrganisationId, sha256: &str) -> Path {
        Path::from(format!("{organisation}/{sha256}"))
    }

    fn thumbnail_path(organisation: OrganisationId, sha256: &str) -> Path {
        Path::from(format!("{organisation}/{sha256}.small.jpg"))
    }
}

fn check(sha256: &str, bytes: &[u8]) -> Result<Checked, ServerError> {
    if digest_hex(bytes) != sha256 {
        return Err(ServerError::BadInput(
            "The bytes are not those that the address names: they were changed on the way. Keep the photo and send it again."
                .into(),
        ));
    }
    let reader = ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .map_err(|error| ServerError::Internal(error.to_string()))?;
    let media_type = match reader.format() {
        Some(ImageFormat::Jpeg) => "image/jpeg",
        Some(ImageFormat::Png) => "image/png",
        Some(ImageFormat::WebP) => "image/webp",
        _ => return Err(no_picture("it is neither JPEG, PNG nor WebP")),
    };
    let picture = decode(bytes)?;
    Ok(Checked {
        media_type,
        thumbnail: thumbnail(&picture)?,
    })
}

/// Decodes within the limits: the size stated by the header is judged before a pixel is made.
fn decode(bytes: &[u8]) -> Result<DynamicImage, ServerError> {
    let open = || {
        let mut reader = ImageReader::new(Cursor::new(bytes))
            .with_guessed_format()
            .map_err(|error| ServerError::Internal(error.to_string()))?;
        let mut limits = Limits::default();
        limits.max_image_width = Some(MAX_SIDE);
        limits.max_image_height = Some(MAX_SIDE);
        limits.max_alloc = Some(MAX_PIXELS * 4);
        reader.limits(limits);
        Ok::<_, ServerError>(reader)
    };
    let (width, height) = open()?
        .into_dimensions()
        .map_err(|error| no_picture(&error.to_string()))?;
    let pixels = u64::from(width) * u64::from(height);
    if width > MAX_SIDE || height > MAX_SIDE || pixels > MAX_PIXELS || pixels == 0 {
        return Err(no_picture(&format!(
            "it claims {width} by {height} pixels; at most {MAX_PIXELS} in all and {MAX_SIDE} along a side are taken"
        )));
    }
    open()?
        .decode()
        .map_err(|error| no_picture(&error.to_string()))
}

fn no_picture(reason: &str) -> ServerError {
    ServerError::BadInput(format!(
        "This is not a picture that can be taken: {reason}. Keep it on the device and take it again as a photo."
    ))
}

fn tells_where() -> ServerError {
    ServerError::BadInput(
        "This picture tells where it was taken, and that is not kept here. Nothing was taken: send it without its \
         location, under the hash of those bytes."
            .into(),
    )
}

fn thumbnail(picture: &DynamicImage) -> Result<Vec<u8>, ServerError> {
    let failed = |error: String| ServerError::Internal(format!("no thumbnail: {error}"));
    let picture = DynamicImage::ImageRgb8(picture.to_rgb8());
    let longest = picture.width().max(picture.height()).max(1);
    let scaled = |side: u32| {
        let side = u64::from(side) * u64::from(THUMBNAIL_SIDE.min(longest)) / u64::from(longest);
        u32::try_from(side.max(1)).unwrap_or(1)
    };
    let (width, height) = (scaled(picture.width()), scaled(picture.height()));
    let mut small = DynamicImage::new_rgb8(width, height);
    resize::Resizer::new()
        .resize(&picture, &mut small, None)
        .map_err(|error| failed(error.to_string()))?;
    let mut bytes = Vec::new();
    small
        .write_to(&mut Cursor::new(&mut bytes), ImageFormat::Jpeg)
        .map_err(|error| failed(error.to_string()))?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(width: u32, height: u32) -> Vec<u8> {
        let mut bytes = Vec::new();
        DynamicImage::new_rgb8(width, height)
            .write_to(&mut Cursor::new(&mut bytes), ImageFormat::Png)
            .unwrap();
        bytes
    }

    #[test]
    fn a_picture_gets_a_small_copy_of_the_same_shape() {
        let bytes = picture(640, 160);
        let checked = check(&digest_hex(&bytes), &bytes).unwrap();
        assert_eq!(checked.media_type, "image/png");
        let small = image::load_from_memory(&checked.thumbnail).unwrap();
        assert_eq!((small.width(), small.height()), (320, 80));
        let small = picture(1, 1);
        assert!(check(&digest_hex(&small), &small).is_ok());
    }

    #[test]
    fn other_bytes_and_no_pictures_are_refused() {
        let bytes = picture(4, 4);
        assert!(matches!(check("00", &bytes), Err(ServerError::BadInput(_))));
        let words = b"not a picture";
        assert!(matches!(
            check(&digest_hex(words), words),
            Err(ServerError::BadInput(_))
        ));
    }
}
