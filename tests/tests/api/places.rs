//! Pictures that tell where they were taken are not kept; those of our own phones and of plain encoders tell nothing.

use std::io::Cursor;

use image::{DynamicImage, ImageFormat};
use reqwest::{Method, StatusCode};
use setdown_server::photo_traces::tells_place;
use setdown_tests::clients::{Client, answered};
use setdown_tests::server::{EVERYWHERE, World};
use setdown_types::digest::digest_hex;

use super::photos::show;

fn encoded(format: ImageFormat, side: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    DynamicImage::new_rgb8(side, side)
        .write_to(&mut Cursor::new(&mut bytes), format)
        .expect("a picture");
    bytes
}

/// An EXIF block with one entry in its first directory (TIFF 6.0, section 2), after what JPEG puts before it.
fn exif(tag: u16) -> Vec<u8> {
    let mut block = b"Exif\0\0MM\0*\0\0\0\x08\0\x01".to_vec();
    block.extend(tag.to_be_bytes());
    block.extend(b"\0\x04\0\0\0\x01\0\0\0\x1a\0\0\0\0\0\0\0\0\0\0");
    block
}

/// The picture with an APP1 segment behind its start marker (ITU-T T.81, B.1.1.4).
fn with_segment(jpeg: &[u8], content: &[u8]) -> Vec<u8> {
    let length = u16::try_from(content.len() + 2).expect("a short segment");
    let (start, rest) = jpeg.split_at(2);
    [start, &[0xFF, 0xE1], &length.to_be_bytes(), content, rest].concat()
}

async fn sent(client: &Client, bytes: &[u8]) -> (StatusCode, serde_json::Value) {
    show(client, client.site().await, bytes).await;
    let path = format!("/api/photos/{}", digest_hex(bytes));
    answered(client.request(Method::PUT, &path).body(bytes.to_vec())).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_picture_with_its_place_in_it_is_refused_and_one_without_is_kept() {
    /// GPSInfoIFDPointer and ExifIFDPointer (Exif 2.32, 4.6.3).
    const GPS: u16 = 0x8825;
    const EXIF: u16 = 0x8769;
    for place in EVERYWHERE {
        let world = World::start_at(place).await;
        let client = world.as_coordinator().await;
        let jpeg = encoded(ImageFormat::Jpeg, 16);
        let xmp = b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta exif:GPSLatitude='39,30N'/>";
        for telling in [with_segment(&jpeg, &exif(GPS)), with_segment(&jpeg, xmp)] {
            let (status, problem) = sent(&client, &telling).await;
            assert_eq!(status, StatusCode::BAD_REQUEST, "{place:?}");
            let told = problem["detail"].as_str().unwrap_or_default();
            assert!(told.contains("where it was taken"), "{problem}");
            let kept = world.photos().join(client.session.organisation.to_string());
            assert!(!kept.join(digest_hex(&telling)).exists());
        }
        let silent = [
            with_segment(&jpeg, &exif(EXIF)),
            jpeg,
            encoded(ImageFormat::Png, 17),
            encoded(ImageFormat::WebP, 18),
        ];
        for bytes in silent {
            assert_eq!(sent(&client, &bytes).await.0, StatusCode::OK, "{place:?}");
        }
    }
}

/// Written by an encoder that is not ours.
#[test]
fn blocks_that_another_encoder_writes_are_found_in_all_three_formats() {
    use image::ImageEncoder;
    use image::codecs::jpeg::JpegEncoder;
    use image::codecs::png::PngEncoder;
    use image::codecs::webp::WebPEncoder;
    fn write(mut encoder: impl ImageEncoder, tag: u16) {
        let block = exif(tag)[6..].to_vec();
        encoder
            .set_exif_metadata(block)
            .expect("the format has EXIF");
        let picture = [7u8; 12];
        encoder
            .write_image(&picture, 2, 2, image::ExtendedColorType::Rgb8)
            .expect("a picture");
    }
    for (tag, tells) in [(0x8825, true), (0x8769, false)] {
        let mut all = [Vec::new(), Vec::new(), Vec::new()];
        let [jpeg, png, webp] = &mut all;
        write(JpegEncoder::new(jpeg), tag);
        write(PngEncoder::new(png), tag);
        write(WebPEncoder::new_lossless(webp), tag);
        for bytes in &all {
            assert!(image::load_from_memory(bytes).is_ok());
            assert_eq!(tells_place(bytes), tells, "{:?}", &bytes[..8]);
        }
    }
}
