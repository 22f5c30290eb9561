export { default } from '../../jobs/[number]/not-found'
