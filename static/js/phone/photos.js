// Shrinks a photo to what evidence needs. Drawing it anew turns it upright and leaves out where it was taken; a shop that
// wants to know that gets the photo's own metadata along, of which the server keeps the position alone.

const SIDE = 2000; // px
const QUALITY = 0.82;

// {name, file, type, bytes}: shrunk where the browser can read it; else as it came, and the server looks at it.
export async function evidence(name, file, { keepPlace = false } = {}) {
  try {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const share = Math.min(1, SIDE / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * share);
    canvas.height = Math.round(picture.height * share);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
    if (blob) {
      const bare = await blob.arrayBuffer();
      const bytes = keepPlace ? withMetadata(bare, upright(metadata(await file.arrayBuffer()))) : bare;
      return { name, file: "photo.jpg", type: "image/jpeg", bytes };
    }
  } catch {
    // Not a picture that this browser knows.
  }
  return { name, file: file.name, type: file.type, bytes: await file.arrayBuffer() };
}

// The Exif segment of a JPEG (APP1, marker included) as bytes; null where it has none. Exif 2.3 (CIPA DC-008), 4.7.2.
function metadata(buffer) {
  const view = new DataView(buffer);
  if (view.byteLength < 4 || view.getUint16(0) !== 0xffd8) return null;
  for (let at = 2; at + 10 < view.byteLength && view.getUint8(at) === 0xff; ) {
    const marker = view.getUint8(at + 1);
    const end = at + 2 + view.getUint16(at + 2);
    if (marker === 0xda || end > view.byteLength) return null;
    if (marker === 0xe1 && view.getUint32(at + 4) === 0x45786966) return new Uint8Array(buffer.slice(at, end));
    at = end;
  }
  return null;
}

// The segment with its orientation set to upright, as the canvas has drawn the picture; null where it can't be read.
function upright(segment) {
  if (!segment) return null;
  const view = new DataView(segment.buffer, 10); // after marker, length and "Exif\0\0"
  const little = view.getUint16(0) === 0x4949;
  const start = view.getUint32(4, little);
  for (let n = 0; n < view.getUint16(start, little); n++) {
    const entry = start + 2 + 12 * n;
    if (view.getUint16(entry, little) === 0x0112) view.setUint16(entry + 8, 1, little);
  }
  return segment;
}

// A JPEG with the segment as its first.
function withMetadata(bare, segment) {
  if (!segment) return bare;
  const whole = new Uint8Array(bare.byteLength + segment.length);
  whole.set(new Uint8Array(bare, 0, 2));
  whole.set(segment, 2);
  whole.set(new Uint8Array(bare, 2), 2 + segment.length);
  return whole.buffer;
}
