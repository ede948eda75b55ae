/**
 * A sum that tells whether bytes are as they were: in it each four of them count differently. It finds damage, not malice.
 *
 * @param {Uint8Array} bytes a multiple of four, in place and in number
 * @param {number} before the sum of those before them; 0 at the beginning
 */
export function wordSum(bytes, before) {
  const words = new Uint32Array(bytes.buffer, bytes.byteOffset, bytes.length / 4);
  let sum = before;
  for (let index = 0; index < words.length; index++) sum = (Math.imul(sum, 31) + words[index]) | 0;
  return sum;
}
