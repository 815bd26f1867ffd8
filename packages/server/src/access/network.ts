import { networkInterfaces } from 'node:os';
import { WorkspaceError } from '../errors.ts';

/** An address of this machine. */
export interface OwnAddress {
  readonly name: string;
  readonly address: string;
}

/** Networks of containers, virtual machines and tunnels: nobody's tablet is on them. */
const VIRTUAL = /^(docker|br-|veth|virbr|vmnet|vboxnet|tun|tap|wg|utun|zt)/;

/** Addresses of private networks (RFC 1918), and those a device gives itself (RFC 3927). */
const PRIVATE = /^(10\.|192\.168\.|172\.(1[6-9]|2\d|3[01])\.|169\.254\.)/;

export function ownAddresses(
  interfaces: ReturnType<typeof networkInterfaces> = networkInterfaces(),
): OwnAddress[] {
  return Object.entries(interfaces).flatMap(([name, addresses]) =>
    (addresses ?? [])
      .filter(({ family, internal }) => family === 'IPv4' && !internal)
      .map(({ address }) => ({ name, address })),
  );
}

/**
 * The address to share on: the one that was asked for, or the first of a private network.
 * @throws WorkspaceError no-network, naming the addresses there are
 */
export function addressToShare(
  wanted: string | undefined,
  own: readonly OwnAddress[] = ownAddresses(),
): string {
  const all = own.map(({ name, address }) => `${address} (${name})`).join(', ') || 'none';
  if (wanted !== undefined) {
    // Another loopback address reaches nobody else: a way to try sharing out on one machine.
    const loopback = /^127(\.\d{1,3}){3}$/.test(wanted) && wanted !== '127.0.0.1';
    if (loopback || own.some(({ address }) => address === wanted)) return wanted;
    throw new WorkspaceError('no-network', `This machine has no address ${wanted}; it has ${all}.`, {
      where: '--share',
      hint: 'Name one of them, or leave the address out.',
    });
  }
  const usual = own.filter(({ name, address }) => PRIVATE.test(address) && !VIRTUAL.test(name));
  // Addresses that a device gave itself are a last resort.
  const found = usual.find(({ address }) => !address.startsWith('169.254.')) ?? usual[0];
  if (found) return found.address;
  throw new WorkspaceError('no-network', `This machine has no address in a private network; it has ${all}.`, {
    where: '--share',
    hint: "Join the workshop's network first. To share on another address, name it: --share ADDRESS.",
  });
}
